import { Injectable } from '@nestjs/common';
import {
  comingWeeks,
  DomainError,
  fewestPayments,
  tasksOf,
  type OpenRound,
  type RoundStage,
  type WeekFacts,
} from '@frostmoot/calc';
import type { thisWeek } from '@frostmoot/contract';
import type { z } from 'zod';
import { requireHousehold, type Actor } from '../platform/auth/actor.ts';
import { localToday } from '../platform/clock/local-today.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { CooperativeSettings } from '../recipes/cooperative-settings.ts';
import type { ContainerCard } from '../stock/container-card.ts';
import { ContainerRepository } from '../stock/container.repository.ts';
import { CooperativeRepository } from './cooperative.repository.ts';
import { RotaBoardRepository } from './rota-board.repository.ts';
import { ThisWeekRepository } from './this-week.repository.ts';

type ThisWeek = z.infer<typeof thisWeek>;
const WEEKS_SHOWN = 8;

/** What is next for a household, and who cooks in the coming weeks. */
@Injectable()
export class ThisWeekService {
  constructor(
    private readonly unitOfWork: UnitOfWork,
    private readonly weeks: ThisWeekRepository,
    private readonly rota: RotaBoardRepository,
    private readonly cooperatives: CooperativeRepository,
    private readonly containers: ContainerRepository,
    private readonly settings: CooperativeSettings,
  ) {}

  get(actor: Actor, householdId: string = actor.householdId): Promise<ThisWeek> {
    return this.unitOfWork.read(actor, async (tx) => {
      const households = await this.weeks.households(tx, actor);
      if (!households.some(({ id }) => id === householdId)) {
        throw new DomainError('not-found', 'There is no such household');
      }
      requireHousehold(actor, householdId);
      const facts = await this.facts(tx, actor, householdId, new Map(households.map(({ id, name }) => [id, name])));
      const [round] = facts.rounds;
      return {
        today: facts.today,
        round: round ? { id: round.id, number: round.number, stage: round.stage } : null,
        tasks: tasksOf(facts),
        households: households.filter(({ leftOn }) => leftOn === null).map(({ id, name }) => ({ id, name })),
        weeks: await this.comingWeeks(tx, actor, facts.today),
      };
    });
  }

  private async facts(
    tx: Tx,
    actor: Actor,
    householdId: string,
    names: ReadonlyMap<string, string>,
  ): Promise<WeekFacts> {
    const { today, now } = await this.settings.of(tx, actor);
    const { timeZone } = await this.cooperatives.get(tx, actor);
    const own = householdId === actor.householdId;
    const mine = (await this.containers.ofHousehold(tx, actor, householdId, now)).filter(
      ({ state }) => state === 'sealed',
    );
    const swaps = await this.weeks.swapsToAnswer(tx, actor, householdId, now);
    const rings = await this.weeks.ringsToAnswer(tx, actor, householdId, now);
    const kept = await this.weeks.keptDishes(tx, actor, householdId, now);
    const turnSwaps = await this.rota.swapsToAnswer(tx, actor, householdId, now);
    return {
      today,
      // Seen for another household, these are not its tasks but the coordinator's own.
      coordinator: own && actor.roles.includes('coordinator'),
      buyer: own && actor.roles.includes('buyer'),
      rounds: (await this.weeks.openRounds(tx, actor, householdId)).map((round): OpenRound => ({
        ...round,
        stage: round.stage as RoundStage,
        held: counted(mine, round.id, 'held'),
        claimed: counted(mine, round.id, 'claimed'),
      })),
      turnSwaps: turnSwaps.map(({ openUntil, ...swap }) => ({ ...swap, openUntil: localToday(openUntil, timeZone) })),
      swaps: swaps.map(({ id, from, openUntil }) => ({
        id,
        from: from.name,
        openUntil: localToday(openUntil, timeZone),
      })),
      rings: rings.map(({ openUntil, ...ring }) => ({ ...ring, openUntil: localToday(openUntil, timeZone) })),
      kept: kept.map(({ until, ...dish }) => ({ ...dish, until: localToday(until, timeZone) })),
      payments: await this.payments(tx, actor, householdId, names),
      stock: mine.map(({ code, dish, bestBefore }) => ({ code, dish, bestBefore })),
    };
  }

  /** What the household pays so that everybody's balance becomes nil, in as few payments as can be. */
  private async payments(tx: Tx, actor: Actor, householdId: string, names: ReadonlyMap<string, string>) {
    const balances = new Map(
      (await this.weeks.moneyBalances(tx, actor)).map((row) => [row.householdId, row.balance] as const),
    );
    // Something that is not split yet, or that the common fund holds, cannot be settled among the households.
    if ([...balances.values()].reduce((sum, balance) => sum + balance, 0n) !== 0n) return [];
    return fewestPayments({ balances })
      .payments.filter(({ from }) => from === householdId)
      .map(({ to, amount }) => ({ to: names.get(to) ?? '', amountMinor: amount.toString() }));
  }

  private async comingWeeks(tx: Tx, actor: Actor, today: string): Promise<ThisWeek['weeks']> {
    const mondays = comingWeeks(today, WEEKS_SHOWN + 1);
    const days = await this.weeks.cookDays(tx, actor, mondays[0] ?? today, mondays[WEEKS_SHOWN] ?? today);
    const shown = mondays.slice(0, WEEKS_SHOWN);
    const { turns, without } = await this.rota.ofWeeks(tx, actor, shown);
    return shown.map((weekOf, index) => ({
      weekOf,
      turns: turns.get(weekOf) ?? [],
      noCooking: without.has(weekOf),
      cookDays: days.filter(({ date }) => date >= weekOf && date < (mondays[index + 1] ?? '')),
    }));
  }
}

function counted(containers: readonly ContainerCard[], roundId: string, claim: 'held' | 'claimed') {
  const counting = containers.filter((container) => container.roundId === roundId && container.claim === claim);
  return { containers: counting.length, portions: counting.reduce((sum, { portions }) => sum + portions, 0) };
}
