import { Injectable } from '@nestjs/common';
import { exclusionsOf } from '@frostmoot/calc';
import { fromDate, toDate } from '../platform/db/dates.ts';
import { newId } from '../platform/db/ids.ts';
import { onUnique } from '../platform/db/on-unique.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

/** A household in a round as it was from a date on. */
export interface RoundParticipantRow {
  householdId: string;
  name: string;
  fromDate: string;
  weight: string;
  diners: number;
  mustNot: string[];
  ratherNot: string[];
  reason: string;
}

/** A household with what its weight and exclusions follow from. */
export interface EatingHousehold {
  id: string;
  name: string;
  joinedOn: string;
  leftOn: string | null;
  freezerMl: number | null;
  ownWeight: string | null;
  diners: { ageBand: 'adult' | 'child'; birthYear?: number }[];
  mustNot: string[];
  ratherNot: string[];
}

const asTyped = ({ restrictions }: { restrictions: { subject: string; strength: string }[] }) => ({
  restrictions: restrictions.map(({ subject, strength }) => ({ subject, strength: strength as 'hard' | 'wish' })),
});

@Injectable()
export class ParticipantsRepository {
  /** Every row about a round's households, by household name, then date. */
  async ofRound(tx: Tx, { cooperativeId }: Scope, roundId: string): Promise<RoundParticipantRow[]> {
    const rows = await tx.roundParticipant.findMany({
      where: { cooperativeId, roundId },
      include: { household: { select: { name: true } } },
      orderBy: [{ household: { name: 'asc' } }, { fromDate: 'asc' }],
    });
    return rows.map((row) => ({
      householdId: row.householdId,
      name: row.household.name,
      fromDate: fromDate(row.fromDate),
      weight: row.weight,
      diners: row.diners,
      mustNot: row.mustNot,
      ratherNot: row.ratherNot,
      reason: row.reason,
    }));
  }

  async add(
    tx: Tx,
    { cooperativeId, personId }: Scope,
    roundId: string,
    rows: readonly Omit<RoundParticipantRow, 'name'>[],
  ): Promise<void> {
    const work = tx.roundParticipant.createMany({
      data: rows.map((row) => ({
        ...row,
        cooperativeId,
        id: newId(),
        roundId,
        fromDate: toDate(row.fromDate),
        createdBy: personId,
      })),
    });
    await onUnique(
      work,
      { round_participant_cooperative_id_round_id_household_id_from_key: 'conflict' },
      'This household has changed on that day already; choose another day',
    );
  }

  /** Households with their diners, by name; all of them, or those asked for. */
  async households(tx: Tx, { cooperativeId }: Scope, ids?: readonly string[]): Promise<EatingHousehold[]> {
    const rows = await tx.household.findMany({
      where: { cooperativeId, ...(ids ? { id: { in: [...ids] } } : {}) },
      include: { diners: { include: { restrictions: true } } },
      orderBy: { name: 'asc' },
    });
    return rows.map(({ diners, ...row }) => {
      const { mustNot, ratherNot } = exclusionsOf(diners.map(asTyped));
      return {
        id: row.id,
        name: row.name,
        joinedOn: fromDate(row.joinedOn),
        leftOn: row.leftOn ? fromDate(row.leftOn) : null,
        freezerMl: row.freezerMl,
        ownWeight: row.ownWeight,
        diners: diners.map(({ ageBand, birthYear }) => ({
          ageBand: ageBand === 'child' ? ('child' as const) : ('adult' as const),
          ...(birthYear === null ? {} : { birthYear }),
        })),
        mustNot,
        ratherNot,
      };
    });
  }
}
