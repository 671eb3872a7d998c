import { Injectable, type OnModuleInit } from '@nestjs/common';
import { DomainError } from '@frostmoot/calc';
import { requireThere } from '../cooperatives/require-there.ts';
import { NoticesService } from '../notices/notices.service.ts';
import type { Actor } from '../platform/auth/actor.ts';
import { requireHousehold } from '../platform/auth/actor.ts';
import { Clock } from '../platform/clock/clock.ts';
import { dayOf } from '../platform/clock/day-of.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { tell } from '../platform/events/tell.ts';
import { outsideRequests } from '../platform/http/request-context.ts';
import { Jobs } from '../platform/jobs/jobs.service.ts';
import { requireVersion } from '../platform/http/if-match.ts';
import { claimRefusal } from './claim-refusals.ts';
import { ClaimTermsRepository } from './claim-terms.repository.ts';
import { WaitingRepository } from './waiting.repository.ts';
import type { WaitingView } from './waiting.repository.ts';

/** Passing on what was kept when its time is over, by itself at that moment. */
const PASS_ON_DISH = 'pass-on-dish';

/** The line for a dish: joining, leaving, and passing on what is kept when its time is over. */
@Injectable()
export class WaitingService implements OnModuleInit {
  constructor(
    private readonly unitOfWork: UnitOfWork,
    private readonly waitings: WaitingRepository,
    private readonly terms: ClaimTermsRepository,
    private readonly notices: NoticesService,
    private readonly jobs: Jobs,
    private readonly clock: Clock,
  ) {}

  onModuleInit(): void {
    this.jobs.register({
      kind: PASS_ON_DISH,
      run: async ({ actor }) => {
        await this.unitOfWork.write(actor, (tx) => this.passOnIn(tx, actor));
        return {};
      },
      triesAgainAfter: [5, 60],
    });
  }

  join(actor: Actor, householdId: string, recipeId: string): Promise<WaitingView> {
    return this.unitOfWork.write(actor, async (tx) => {
      if (!(await this.waitings.hasRecipe(tx, actor, recipeId)))
        throw new DomainError('not-found', 'There is no such dish');
      requireHousehold(actor, householdId);
      await requireThere(tx, actor, householdId, (await dayOf(tx, actor, this.clock)).today);
      if ((await this.terms.policy(tx, actor)).policy === 'none') throw claimRefusal('no-claims', null);
      const id = await this.waitings.join(tx, actor, householdId, recipeId, this.clock.now());
      await this.passOnIn(tx, actor);
      await tell(tx, actor, 'share-outs');
      return this.existing(tx, actor, id);
    });
  }

  leave(actor: Actor, id: string, version: number): Promise<WaitingView> {
    return this.unitOfWork.write(actor, async (tx) => {
      const found = await this.existing(tx, actor, id);
      requireHousehold(actor, found.household.id);
      requireVersion(found.version, version);
      if (!(await this.waitings.leave(tx, actor, id, version, this.clock.now()))) {
        throw new DomainError('conflict', 'The household does not wait any more');
      }
      await this.passOnIn(tx, actor);
      await tell(tx, actor, 'share-outs');
      return this.existing(tx, actor, id);
    });
  }

  /** Keeps what is free for the first in line, and tells its household. */
  async passOnIn(tx: Tx, actor: Actor): Promise<void> {
    const now = this.clock.now();
    await this.waitings.settle(tx, actor, now);
    const untold = await this.waitings.untold(tx, actor);
    if (untold.length === 0) return;
    for (const { id, household, recipe, container, keptUntil, roundId } of untold) {
      const facts = { dish: recipe.name, code: container?.code ?? '', untilAt: keptUntil ?? '' };
      await this.notices.give(tx, actor, {
        householdIds: [household.id],
        kind: 'dish-kept',
        facts,
        subjectId: roundId,
      });
      const dueAt = new Date(keptUntil ?? now);
      await this.jobs.start(tx, actor, { kind: PASS_ON_DISH, subjectId: id, input: {}, dueAt });
    }
    await this.waitings.markTold(
      tx,
      actor,
      untold.map(({ id }) => id),
      now,
    );
  }

  /** Does so when it has come due, for whoever looks before the job of that moment has run. */
  async passOnIfDue(actor: Actor): Promise<void> {
    const isDue = await this.unitOfWork.read(actor, (tx) => this.waitings.isDue(tx, actor, this.clock.now()));
    if (isDue) await outsideRequests(() => this.unitOfWork.write(actor, (tx) => this.passOnIn(tx, actor)));
  }

  private async existing(tx: Tx, actor: Actor, id: string): Promise<WaitingView> {
    const found = await this.waitings.find(tx, actor, id);
    if (!found) throw new DomainError('not-found', 'Nobody waits under this id');
    return found;
  }
}
