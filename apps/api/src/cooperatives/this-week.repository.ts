import { Injectable } from '@nestjs/common';
import { fromDate, toDate } from '../platform/db/dates.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

const named = { select: { id: true, name: true } } as const;

/** What the coming weeks and a household's tasks are read from. */
@Injectable()
export class ThisWeekRepository {
  /** Rounds that are not settled, the earliest first. */
  async openRounds(tx: Tx, { cooperativeId }: Scope, householdId: string) {
    const rows = await tx.round.findMany({
      where: { cooperativeId, stage: { not: 'settled' } },
      orderBy: { number: 'asc' },
      include: {
        cookDays: {
          where: { cooperativeId, turns: { some: { cooperativeId, householdId } } },
          include: { kitchen: named },
          orderBy: { date: 'asc' },
        },
        batches: { where: { cooperativeId, state: 'planned' }, select: { id: true } },
        shareOuts: { where: { cooperativeId, state: 'confirmed' }, select: { id: true } },
      },
    });
    return rows.map((row) => ({
      id: row.id,
      number: row.number,
      stage: row.stage,
      planUntil: fromDate(row.planUntil),
      buyOn: fromDate(row.buyOn),
      cookOn: fromDate(row.cookOn),
      shareOn: fromDate(row.shareOn),
      swapUntil: fromDate(row.swapUntil),
      settleOn: fromDate(row.settleOn),
      batchesOpen: row.batches.length,
      shareOutConfirmed: row.shareOuts.length > 0,
      cookDays: row.cookDays.map((day) => ({
        date: fromDate(day.date),
        startsAt: day.startsAt,
        kitchen: day.kitchen.name,
      })),
    }));
  }

  /** Cook days of everybody from one date until before another. */
  async cookDays(tx: Tx, { cooperativeId }: Scope, from: string, before: string) {
    const rows = await tx.cookDay.findMany({
      where: { cooperativeId, date: { gte: toDate(from), lt: toDate(before) } },
      include: {
        kitchen: named,
        round: { select: { number: true } },
        turns: { include: { household: named }, orderBy: { id: 'asc' } },
      },
      orderBy: [{ date: 'asc' }, { startsAt: 'asc' }],
    });
    return rows.map((row) => ({
      id: row.id,
      date: fromDate(row.date),
      startsAt: row.startsAt,
      kitchen: row.kitchen,
      roundNumber: row.round.number,
      turns: row.turns.map(({ household, state }) => ({ household, state })),
    }));
  }

  /** Swaps that wait for the household's answer. */
  swapsToAnswer(tx: Tx, { cooperativeId }: Scope, householdId: string, now: Date) {
    return tx.swap.findMany({
      where: { cooperativeId, toHouseholdId: householdId, state: 'proposed', openUntil: { gt: now } },
      select: { id: true, openUntil: true, from: { select: { name: true } } },
      orderBy: { openUntil: 'asc' },
    });
  }

  /** Rings that wait for the household's answer, with who is in them. */
  async ringsToAnswer(tx: Tx, { cooperativeId }: Scope, householdId: string, now: Date) {
    const rows = await tx.swapRing.findMany({
      where: {
        ...{ cooperativeId, state: 'proposed', openUntil: { gt: now } },
        members: { some: { cooperativeId, householdId, answer: null } },
      },
      select: {
        id: true,
        openUntil: true,
        members: { select: { household: { select: { name: true } } }, orderBy: { position: 'asc' } },
      },
      orderBy: { openUntil: 'asc' },
    });
    return rows.map(({ id, openUntil, members }) => ({
      ...{ id, openUntil },
      households: members.map(({ household }) => household.name).join(', '),
    }));
  }

  /** Dishes that the household waited for and that are kept for it now. */
  async keptDishes(tx: Tx, { cooperativeId }: Scope, householdId: string, now: Date) {
    const rows = await tx.waiting.findMany({
      where: { cooperativeId, householdId, state: 'kept', keptUntil: { gt: now } },
      select: {
        keptUntil: true,
        recipe: { select: { name: true } },
        container: { select: { batch: { select: { roundId: true } } } },
      },
    });
    return rows.flatMap(({ keptUntil, recipe, container }) =>
      keptUntil && container ? [{ roundId: container.batch.roundId, dish: recipe.name, until: keptUntil }] : [],
    );
  }

  /** Everybody's balance in the money book that is not nil, in minor units. */
  async moneyBalances(tx: Tx, { cooperativeId }: Scope): Promise<{ householdId: string; balance: bigint }[]> {
    const rows = await tx.account.findMany({
      where: { cooperativeId, book: 'money', kind: 'household', balance: { not: 0 } },
      select: { householdId: true, balance: true },
    });
    return rows.flatMap(({ householdId, balance }) => (householdId === null ? [] : [{ householdId, balance }]));
  }

  households(tx: Tx, { cooperativeId }: Scope) {
    return tx.household.findMany({
      where: { cooperativeId },
      select: { id: true, name: true, leftOn: true },
      orderBy: { name: 'asc' },
    });
  }
}
