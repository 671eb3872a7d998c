import { Injectable } from '@nestjs/common';
import type { round } from '@frostmoot/contract';
import type { z } from 'zod';
import { fromDate, toDate } from '../platform/db/dates.ts';
import { newId } from '../platform/db/ids.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

export type CookDayAnswer = z.infer<typeof round>['cookDays'][number];

const named = { select: { id: true, name: true } } as const;

@Injectable()
export class CookDaysRepository {
  /** Cook days of a round by date, each with its turns by household. */
  async ofRound(tx: Tx, { cooperativeId }: Scope, roundId: string): Promise<CookDayAnswer[]> {
    const rows = await tx.cookDay.findMany({
      where: { cooperativeId, roundId },
      include: { kitchen: named, turns: { include: { household: named }, orderBy: { household: { name: 'asc' } } } },
      orderBy: { date: 'asc' },
    });
    return rows.map(({ id, date, startsAt, kitchen, turns }) => ({
      id,
      date: fromDate(date),
      startsAt,
      kitchen,
      turns: turns.map(({ household, state }) => ({ household, state })),
    }));
  }

  /** The cook day of that date as given: made, or changed with its turns. */
  async save(
    tx: Tx,
    { cooperativeId }: Scope,
    roundId: string,
    day: { date: string; startsAt: string; kitchenHouseholdId: string; householdIds: readonly string[] },
  ): Promise<string> {
    const date = toDate(day.date);
    const fields = { startsAt: day.startsAt, kitchenHouseholdId: day.kitchenHouseholdId };
    const { id } = await tx.cookDay.upsert({
      where: { cooperativeId_roundId_date: { cooperativeId, roundId, date } },
      create: { cooperativeId, id: newId(), roundId, date, ...fields },
      update: { ...fields, version: { increment: 1 } },
    });
    const ids = [...day.householdIds];
    await tx.turn.deleteMany({ where: { cooperativeId, cookDayId: id, householdId: { notIn: ids } } });
    await tx.turn.createMany({
      data: ids.map((householdId) => ({ cooperativeId, id: newId(), cookDayId: id, householdId })),
      skipDuplicates: true,
    });
    return id;
  }
}
