import { Injectable } from '@nestjs/common';
import { DomainError } from '@frostmoot/calc';
import type { claimContainer, claimOfDish, claimResult } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { requireHousehold, requireOwnHousehold } from '../platform/auth/actor.ts';
import { Clock } from '../platform/clock/clock.ts';
import { dayOf } from '../platform/clock/day-of.ts';
import { requireKey } from '../platform/db/idempotency.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { tell } from '../platform/events/tell.ts';
import { currentRequest } from '../platform/http/request-context.ts';
import { claimRefusal } from './claim-refusals.ts';
import { ClaimsRepository } from './claims.repository.ts';
import type { ClaimOutcome, ClaimRequest } from './claims.repository.ts';
import { ShareOutRepository } from './share-out.repository.ts';
import { ShareOutService } from './share-out.service.ts';
import type { ShareOutView } from './share-out.view.ts';
import { UnfitBecause } from './unfit-because.ts';
import { WaitingService } from './waiting.service.ts';

type ClaimResult = z.infer<typeof claimResult>;

/** Claims and releases; the rules and the key of the request are in the database function, since many ask at the same moment. */
@Injectable()
export class ClaimsService {
  constructor(
    private readonly unitOfWork: UnitOfWork,
    private readonly claims: ClaimsRepository,
    private readonly shareOuts: ShareOutRepository,
    private readonly sharing: ShareOutService,
    private readonly waiting: WaitingService,
    private readonly unfit: UnfitBecause,
    private readonly clock: Clock,
  ) {}

  async claim(actor: Actor, containerId: string, asked: z.infer<typeof claimContainer>): Promise<ClaimResult> {
    if (asked.confirmWords !== null) requireOwnHousehold(actor, asked.householdId);
    const request = this.request(containerId, asked.householdId);
    const claim = () =>
      this.unitOfWork.statement((client) => this.claims.claim(client, actor, request, asked.confirmWords));
    const outcome = await claim();
    if (outcome.status === 'container-kept') {
      // Its time may be over by now: then the next in line has it, or it is free.
      await this.waiting.passOnIfDue(actor);
      return resultOf(await claim());
    }
    if (outcome.status === 'excluded-food') throw await this.excludedFood(actor, containerId, outcome.answer ?? {});
    return resultOf(outcome);
  }

  /** Any free container of a dish, of one size where it is named, else the smallest first. */
  async claimOfDish(actor: Actor, roundId: string, asked: z.infer<typeof claimOfDish>): Promise<ClaimResult> {
    if (asked.confirmWords !== null) requireOwnHousehold(actor, asked.householdId);
    const { containerId: _, ...request } = this.request('', asked.householdId);
    const { recipeId, portions, confirmWords } = asked;
    const dish = { roundId, recipeId, portions, confirmWords };
    const claim = () => this.unitOfWork.statement((client) => this.claims.claimOfDish(client, actor, dish, request));
    const outcome = await claim();
    if (outcome.status !== 'excluded-food') return resultOf(outcome);
    const example = await this.unitOfWork.read(actor, (tx) => this.claims.oneOfDish(tx, actor, dish));
    throw await this.excludedFood(actor, example, outcome.answer ?? {});
  }

  /** The warning names which ingredient brings it, and through what; none where the last container of the dish has gone meanwhile. */
  private async excludedFood(
    actor: Actor,
    containerId: string | null,
    answer: Record<string, string | number>,
  ): Promise<DomainError> {
    const subjects = String(answer['subjects'] ?? '').split(', ');
    const ingredients =
      containerId === null
        ? ''
        : await this.unitOfWork.read(actor, (tx) => this.unfit.ingredients(tx, actor, containerId, subjects));
    return claimRefusal('excluded-food', { ...answer, ingredients });
  }

  async release(actor: Actor, containerId: string, householdId: string): Promise<ClaimResult> {
    const request = this.request(containerId, householdId);
    const result = resultOf(await this.unitOfWork.statement((client) => this.claims.release(client, actor, request)));
    await this.waiting.passOnIfDue(actor);
    return result;
  }

  /** Says yes to all that is set aside and fit; what is not stays set aside and asks for its own answer. */
  claimHeld(actor: Actor, roundId: string, householdId: string): Promise<ShareOutView> {
    requireHousehold(actor, householdId);
    return this.unitOfWork.write(actor, async (tx) => {
      const round = await this.shareOuts.round(tx, actor, roundId);
      if (!round) throw new DomainError('not-found', 'There is no such round');
      if (!(await this.shareOuts.confirmed(tx, actor, roundId))) throw claimRefusal('claims-closed', null);
      const { today } = await dayOf(tx, actor, this.clock);
      if ((await this.claims.claimHeld(tx, actor, roundId, householdId, today)) > 0) {
        await tell(tx, actor, 'share-outs', roundId);
        await tell(tx, actor, 'stock');
      }
      return this.sharing.viewIn(tx, actor, roundId);
    });
  }

  private request(containerId: string, householdId: string): ClaimRequest {
    const facts = currentRequest() ?? { idempotencyKey: null, requestHash: '' };
    return { containerId, householdId, key: requireKey(facts), requestHash: facts.requestHash, now: this.clock.now() };
  }
}

function resultOf(outcome: ClaimOutcome): ClaimResult {
  if (outcome.status === 'done') return outcome.answer;
  throw claimRefusal(outcome.status, outcome.answer);
}
