import { Injectable } from '@nestjs/common';
import { DomainError, headcountWeight, invalidInput, rational, startOfRound, typedWeight } from '@frostmoot/calc';
import type { WeightPolicy } from '@frostmoot/calc';
import type { changeParticipant } from '@frostmoot/contract';
import type { z } from 'zod';
import { requireThere } from '../cooperatives/require-there.ts';
import { BatchesRepository } from '../kitchen/batches.repository.ts';
import type { Actor } from '../platform/auth/actor.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { tell } from '../platform/events/tell.ts';
import { CooperativeSettings } from '../recipes/cooperative-settings.ts';
import type { EatingHousehold, RoundParticipantRow } from './participants.repository.ts';
import { ParticipantsRepository } from './participants.repository.ts';
import type { RoundAnswer } from './round-reader.ts';
import { RoundReader } from './round-reader.ts';
import type { RoundRow } from './rounds.repository.ts';
import { RoundsRepository } from './rounds.repository.ts';

type Typed = z.infer<typeof changeParticipant>;
type NewRow = Omit<RoundParticipantRow, 'name'>;

/** Who takes part in a round: all at its start as they are then, and later changes from a day on. */
@Injectable()
export class ParticipationService {
  constructor(
    private readonly work: UnitOfWork,
    private readonly rounds: RoundsRepository,
    private readonly participants: ParticipantsRepository,
    private readonly batches: BatchesRepository,
    private readonly settings: CooperativeSettings,
    private readonly reader: RoundReader,
  ) {}

  /** Takes in every household that is there and has somebody who eats. */
  async start(tx: Tx, actor: Actor, round: RoundRow): Promise<void> {
    const { today, weights } = await this.settings.of(tx, actor);
    // A round that is written down after its planning was over began with it.
    const from = today < round.planUntil ? today : round.planUntil;
    const there = (await this.participants.households(tx, actor)).filter(
      ({ joinedOn, leftOn }) => joinedOn <= today && (leftOn === null || leftOn > today),
    );
    const rows = there
      .map((household) => rowOf(household, from, weightOf(household, weights, today), ''))
      .filter(({ weight }) => !rational.isZero(rational.parse(weight)));
    if (rows.length === 0) {
      throw new DomainError('participant-missing', 'No household has anybody who eats; add diners first');
    }
    await this.participants.add(tx, actor, round.id, rows);
  }

  change(actor: Actor, roundId: string, typed: Typed): Promise<RoundAnswer> {
    return this.work.write(actor, async (tx) => {
      const { today, weights } = await this.settings.of(tx, actor);
      const round = await this.rounds.lock(tx, actor, roundId);
      await this.requireOpen(tx, actor, round);
      const rows = await this.participants.ofRound(tx, actor, roundId);
      requireDay(typed.fromDate, startOfRound(rows) ?? round.planUntil, round);
      const [household] = await this.participants.households(tx, actor, [typed.householdId]);
      if (!household) throw invalidInput([{ pointer: '#/householdId', detail: 'There is no such household.' }]);
      await requireThere(tx, actor, typed.householdId, today);
      const weight =
        typed.weight === null
          ? weightOf(household, weights, today)
          : rational.format(typedWeight(typed.weight, '#/weight'));
      await this.participants.add(tx, actor, roundId, [rowOf(household, typed.fromDate, weight, typed.reason)]);
      await this.rounds.bump(tx, actor, roundId);
      await tell(tx, actor, 'rounds', roundId);
      return this.reader.answer(tx, actor, roundId);
    });
  }

  private async requireOpen(tx: Tx, actor: Actor, round: RoundRow): Promise<void> {
    if (round.stage !== 'settled' && !(await this.batches.isSharedOut(tx, actor, round.id))) return;
    throw new DomainError('round-stage', 'This round is shared out; who takes part stays as it is', {
      params: { stage: round.stage, allowed: 'planning buying cooking sharing' },
    });
  }
}

/** A household's weight as it is counted today. Under own numbers a household without one is not counted yet. */
function weightOf({ diners, ownWeight }: EatingHousehold, policy: WeightPolicy, today: string): string {
  if (policy.scale === 'own' && ownWeight === null) return '0';
  const own = ownWeight === null ? undefined : rational.parse(ownWeight);
  return rational.format(headcountWeight(diners, policy, Number(today.slice(0, 4)), own));
}

const rowOf = (household: EatingHousehold, fromDate: string, weight: string, reason: string): NewRow => ({
  householdId: household.id,
  fromDate,
  weight,
  diners: household.diners.length,
  mustNot: household.mustNot,
  ratherNot: household.ratherNot,
  reason,
});

function requireDay(fromDate: string, start: string, round: RoundRow): void {
  if (fromDate >= start && fromDate <= round.settleOn) return;
  throw invalidInput([{ pointer: '#/fromDate', detail: `Must be within the round, ${start} to ${round.settleOn}.` }]);
}
