import { Injectable } from '@nestjs/common';
import type { ParticipantRow, SharedContainer } from '@frostmoot/calc';
import { fromDate } from '../platform/db/dates.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

export interface ParticipantToday extends ParticipantRow {
  name: string;
  weight: string;
  mustNot: string[];
  ratherNot: string[];
}

/** What a share-out is worked out from, as it is now. */
@Injectable()
export class SharingFactsRepository {
  /** The sealed containers of a round that nobody holds. */
  async commonContainers(tx: Tx, scope: Scope, roundId: string): Promise<SharedContainer[]> {
    const { cooperativeId } = scope;
    const rows = await tx.container.findMany({
      where: { cooperativeId, state: 'sealed', holderHouseholdId: null, batch: { cooperativeId, roundId } },
      select: {
        id: true,
        number: true,
        portions: true,
        millilitres: true,
        earlyClaim: { select: { householdId: true } },
        batch: { select: { lotCode: true, recipeVersion: { select: { recipeId: true, unfitFor: true } } } },
      },
    });
    return rows.map(({ id, number, portions, millilitres, earlyClaim, batch }) => ({
      id,
      number,
      portions,
      millilitres,
      claimedBy: earlyClaim?.householdId ?? null,
      lotCode: batch.lotCode,
      ...batch.recipeVersion,
    }));
  }

  /** Every row about a household in the round, what its diners must not eat now included. */
  async participants(tx: Tx, scope: Scope, roundId: string): Promise<ParticipantToday[]> {
    const { cooperativeId } = scope;
    const rows = await tx.roundParticipant.findMany({
      where: { cooperativeId, roundId },
      include: { household: { select: { name: true } } },
    });
    const hard = await tx.dinerRestriction.findMany({
      where: { cooperativeId, strength: 'hard' },
      select: { subject: true, diner: { select: { householdId: true } } },
    });
    return rows.map((row) => ({
      householdId: row.householdId,
      name: row.household.name,
      fromDate: fromDate(row.fromDate),
      weight: row.weight,
      mustNot: [
        ...row.mustNot,
        ...hard.filter(({ diner }) => diner.householdId === row.householdId).map(({ subject }) => subject),
      ],
      ratherNot: row.ratherNot,
    }));
  }

  /** What each household has free in its freezer beside all that it holds; only those that have said how large it is. */
  async freeMl(tx: Tx, scope: Scope): Promise<Map<string, number>> {
    const { cooperativeId } = scope;
    const held = await tx.container.groupBy({
      by: ['holderHouseholdId'],
      where: { cooperativeId, state: 'sealed', holderHouseholdId: { not: null } },
      _sum: { millilitres: true },
    });
    const used = new Map(held.map(({ holderHouseholdId, _sum }) => [holderHouseholdId, _sum.millilitres ?? 0]));
    const households = await tx.household.findMany({
      where: { cooperativeId, freezerMl: { not: null } },
      select: { id: true, freezerMl: true },
    });
    return new Map(households.map(({ id, freezerMl }) => [id, Math.max(0, (freezerMl ?? 0) - (used.get(id) ?? 0))]));
  }

  /** Balance of the common account of portions. */
  async commonBalance(tx: Tx, scope: Scope): Promise<bigint> {
    const row = await tx.account.findFirst({
      where: { cooperativeId: scope.cooperativeId, book: 'portions', kind: 'common' },
      select: { balance: true },
    });
    return row?.balance ?? 0n;
  }

  /** Balances of the book of portions by household, in micro-portions. */
  async portionBalances(tx: Tx, scope: Scope): Promise<Map<string, bigint>> {
    const rows = await tx.account.findMany({
      where: { cooperativeId: scope.cooperativeId, book: 'portions', kind: 'household' },
      select: { householdId: true, balance: true },
    });
    return new Map(rows.map(({ householdId, balance }) => [householdId as string, balance]));
  }
}
