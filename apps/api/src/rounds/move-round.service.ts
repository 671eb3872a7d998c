import { Injectable } from '@nestjs/common';
import { DomainError, lotCode, nextStage, rational } from '@frostmoot/calc';
import type { OpenPoint, RoundStage } from '@frostmoot/calc';
import { PurchasesRepository } from '../buying/purchases.repository.ts';
import { RoundPlanService } from '../buying/round-plan.service.ts';
import { BatchesRepository } from '../kitchen/batches.repository.ts';
import type { Actor } from '../platform/auth/actor.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { tell } from '../platform/events/tell.ts';
import { requireVersion } from '../platform/http/if-match.ts';
import type { RoundAnswer, WholeRound } from './round-reader.ts';
import { RoundReader } from './round-reader.ts';
import { RoundsRepository } from './rounds.repository.ts';

/** Takes a round on to its next stage, with what that stage begins with. */
@Injectable()
export class MoveRoundService {
  constructor(
    private readonly work: UnitOfWork,
    private readonly rounds: RoundsRepository,
    private readonly reader: RoundReader,
    private readonly purchases: PurchasesRepository,
    private readonly plans: RoundPlanService,
    private readonly batches: BatchesRepository,
  ) {}

  move(actor: Actor, roundId: string, version: number, to: RoundStage): Promise<RoundAnswer> {
    return this.work.write(actor, async (tx) => {
      const { stage, version: present } = await this.rounds.lock(tx, actor, roundId);
      if (nextStage(stage) !== to) throw notNext(stage, to);
      requireVersion(present, version);
      const whole = await this.reader.whole(tx, actor, roundId);
      refuseBlocked(whole.points, to);
      await this.begin(tx, actor, whole, to);
      await this.rounds.bump(tx, actor, roundId, {
        stage: to,
        ...(to === 'settled' ? { settledAt: whole.settings.now } : {}),
      });
      await tell(tx, actor, 'rounds', roundId);
      return this.reader.answer(tx, actor, roundId);
    });
  }

  private async begin(tx: Tx, actor: Actor, { round, plan, settings }: WholeRound, to: RoundStage): Promise<void> {
    if (to === 'buying') {
      const rows = plan.lines.map(({ offer, packs, plannedMinor, needed }) => ({
        offerId: offer.id,
        packs: Number(packs),
        plannedMinor,
        needed: rational.format(needed),
      }));
      await this.purchases.add(tx, actor, round.id, rows);
      await this.plans.keep(tx, actor, round, plan, settings.measures);
      await tell(tx, actor, 'buying', round.id);
    }
    if (to === 'cooking') {
      const batches = plan.dishes.flatMap(({ batches: count, portionsPerBatch, version }, dishIndex) =>
        Array.from({ length: count }, (_, index) => ({
          recipeVersionId: version.id,
          lotCode: lotCode(round.number, dishIndex, index + 1),
          plannedPortions: portionsPerBatch,
        })),
      );
      await this.batches.plan(tx, actor, round.id, batches);
      await tell(tx, actor, 'kitchen', round.id);
    }
  }
}

function notNext(stage: RoundStage, to: RoundStage): DomainError {
  const detail = `A round that is ${stage} cannot go to ${to}`;
  return new DomainError('round-stage', detail, {
    errors: [{ pointer: '#/to', detail }],
    params: { stage, to, next: nextStage(stage) ?? '' },
  });
}

/** Sentences for those who read the problem document itself; the screens build theirs from code and facts of the open points. */
const sentences: Partial<Record<OpenPoint['code'], (facts: OpenPoint['facts']) => string>> = {
  'no-dish': () => 'No dish is chosen',
  'no-offer': ({ ingredient }) => `Nobody offers ${ingredient}`,
  'no-receipt': () => 'No receipt is entered',
  'yield-missing': ({ lotCode: lot, dish }) => `What came out of ${lot} (${dish}) is not entered`,
  'share-out-missing': () => 'The share-out is not confirmed',
  'swap-open': ({ swaps }) => `${swaps} swaps of its containers wait for an answer`,
};

function refuseBlocked(points: readonly OpenPoint[], to: RoundStage): void {
  const blocking = points.filter(({ blocks }) => blocks);
  if (blocking.length === 0) return;
  throw new DomainError('round-not-ready', `The round cannot move to ${to} yet`, {
    errors: blocking.map(({ code, facts }) => ({ pointer: '#/to', detail: sentences[code]?.(facts) ?? code, code })),
    params: { to, open: blocking.length },
  });
}
