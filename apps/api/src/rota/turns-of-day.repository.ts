import { Injectable } from '@nestjs/common';
import { comingWeeks } from '@frostmoot/calc';
import { fromDate, toDate } from '../platform/db/dates.ts';
import { newId } from '../platform/db/ids.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

/** A cook of a cook day who was set by hand. */
export interface HandSetTurn {
  cookDayId: string;
  weekOf: string;
  householdId: string;
}
export interface OpenCookDay {
  id: string;
  date: string;
}

/** Published turns in the cook days of rounds. */
@Injectable()
export class TurnsOfDayRepository {
  /** Cook days from one date to another whose round is not shared out yet, the earliest first. */
  async openDays(tx: Tx, { cooperativeId }: Scope, from: string, to: string): Promise<OpenCookDay[]> {
    const days = await tx.cookDay.findMany({
      where: {
        cooperativeId,
        date: { gte: toDate(from), lte: toDate(to) },
        round: { stage: { in: ['planning', 'buying', 'cooking'] } },
      },
      select: { id: true, date: true },
      orderBy: [{ date: 'asc' }, { startsAt: 'asc' }],
    });
    return days.map(({ id, date }) => ({ id, date: fromDate(date) }));
  }

  async dayOfTurn(tx: Tx, { cooperativeId }: Scope, cookDayId: string): Promise<{ date: string; isOpen: boolean }> {
    const { date, round } = await tx.cookDay.findUniqueOrThrow({
      where: { cooperativeId_id: { cooperativeId, id: cookDayId } },
      select: { date: true, round: { select: { stage: true } } },
    });
    return { date: fromDate(date), isOpen: ['planning', 'buying', 'cooking'].includes(round.stage) };
  }

  /** Cooks that were set by hand on open cook days and have no published turn there. */
  async handSet(tx: Tx, { cooperativeId }: Scope, from: string, to: string): Promise<HandSetTurn[]> {
    const rows = await tx.$queryRaw<{ cookDayId: string; date: string; householdId: string }[]>`
      SELECT d.id::text AS "cookDayId", d.date::text, t.household_id::text AS "householdId"
      FROM cook_day d
      JOIN round r ON r.cooperative_id = d.cooperative_id AND r.id = d.round_id AND r.stage IN ('planning', 'buying', 'cooking')
      JOIN turn t ON t.cooperative_id = d.cooperative_id AND t.cook_day_id = d.id
      WHERE d.cooperative_id = ${cooperativeId}::uuid AND d.date BETWEEN ${from}::date AND ${to}::date
        AND NOT EXISTS (SELECT FROM rota_turn p WHERE p.cooperative_id = t.cooperative_id AND p.cook_day_id = d.id AND p.household_id = t.household_id)
      ORDER BY d.date, d.id, t.household_id`;
    return rows.map(({ date, ...row }) => ({ ...row, weekOf: comingWeeks(date, 1)[0] ?? date }));
  }

  /** Takes the turns of a week that no cook day has yet into this one. */
  async take(tx: Tx, { cooperativeId }: Scope, weekOf: string, cookDayId: string): Promise<void> {
    const turns = await tx.rotaTurn.findMany({
      where: { cooperativeId, weekOf: toDate(weekOf), cookDayId: null },
      select: { id: true, householdId: true, state: true },
      orderBy: { id: 'asc' },
    });
    if (turns.length === 0) return;
    await tx.rotaTurn.updateMany({
      where: { cooperativeId, id: { in: turns.map(({ id }) => id) } },
      data: { cookDayId },
    });
    for (const { householdId, state } of turns) {
      if (householdId !== null) await this.put(tx, { cooperativeId }, cookDayId, householdId, state);
    }
  }

  /** Another household cooks on the day, or one less. */
  async change(
    tx: Tx,
    { cooperativeId }: Pick<Scope, 'cooperativeId'>,
    cookDayId: string,
    { from, to, state }: { from: string | null; to: string | null; state: string },
  ): Promise<void> {
    if (from !== null) await tx.turn.deleteMany({ where: { cooperativeId, cookDayId, householdId: from } });
    if (to !== null) await this.put(tx, { cooperativeId }, cookDayId, to, state);
  }

  /** Who has a published turn on this cook day. */
  async holders(tx: Tx, { cooperativeId }: Scope, cookDayId: string): Promise<{ id: string; name: string }[]> {
    const rows = await tx.rotaTurn.findMany({
      where: { cooperativeId, cookDayId, householdId: { not: null } },
      select: { household: { select: { id: true, name: true } } },
    });
    return rows.flatMap(({ household }) => household ?? []);
  }

  private async put(
    tx: Tx,
    { cooperativeId }: Pick<Scope, 'cooperativeId'>,
    cookDayId: string,
    householdId: string,
    state: string,
  ): Promise<void> {
    await tx.turn.upsert({
      where: { cooperativeId_cookDayId_householdId: { cooperativeId, cookDayId, householdId } },
      create: { cooperativeId, id: newId(), cookDayId, householdId, state },
      update: { state },
      select: { id: true },
    });
  }
}
