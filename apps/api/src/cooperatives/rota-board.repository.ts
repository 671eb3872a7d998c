import { Injectable } from '@nestjs/common';
import type { WeekToFill } from '@frostmoot/calc';
import type { thisWeek } from '@frostmoot/contract';
import type { z } from 'zod';
import { fromDate, toDate } from '../platform/db/dates.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

type BoardTurn = z.infer<typeof thisWeek>['weeks'][number]['turns'][number];
interface DraftTurn {
  weekOf: string;
  householdId: string;
}

const named = { select: { id: true, name: true } } as const;

/** What the board of the coming weeks shows of the rota besides the cook days of rounds. */
@Injectable()
export class RotaBoardRepository {
  async ofWeeks(tx: Tx, { cooperativeId }: Scope, mondays: readonly string[]) {
    const rows = await tx.rotaTurn.findMany({
      where: {
        cooperativeId,
        weekOf: { in: mondays.map(toDate) },
        OR: [{ cookDayId: null }, { householdId: null }],
      },
      include: { household: named },
      orderBy: { id: 'asc' },
    });
    const rotas = await tx.rota.findMany({
      where: { cooperativeId, state: { in: ['draft', 'published'] } },
      select: { state: true, weeks: true, turns: true },
      orderBy: { publishedAt: { sort: 'asc', nulls: 'last' } },
    });
    const households = await tx.household.findMany({ where: { cooperativeId }, select: { id: true, name: true } });
    const turns = new Map<string, BoardTurn[]>(mondays.map((monday) => [monday, []]));
    for (const { id, weekOf, household, state, cookDayId, version } of rows) {
      turns.get(fromDate(weekOf))?.push({ id, household, state: state as BoardTurn['state'], cookDayId, version });
    }
    const names = new Map(households.map(({ id, name }) => [id, name]));
    const published = await this.holders(tx, { cooperativeId }, mondays);
    for (const { weekOf, householdId } of draftTurns(rotas)) {
      if (published.has(`${weekOf} ${householdId}`)) continue;
      const household = { id: householdId, name: names.get(householdId) ?? '' };
      turns.get(weekOf)?.push({ id: null, household, state: 'planned', cookDayId: null, version: 0 });
    }
    return { turns, without: weeksWithout(rotas) };
  }

  /** Swaps of turns that wait for the household's answer. */
  async swapsToAnswer(tx: Tx, { cooperativeId }: Scope, householdId: string, now: Date) {
    const rows = await tx.turnSwap.findMany({
      where: { cooperativeId, toHouseholdId: householdId, state: 'proposed', openUntil: { gt: now } },
      select: {
        id: true,
        openUntil: true,
        from: { select: { name: true } },
        gives: { select: { weekOf: true } },
        gets: { select: { weekOf: true } },
      },
      orderBy: { openUntil: 'asc' },
    });
    return rows.map(({ id, openUntil, from, gives, gets }) => ({
      id,
      openUntil,
      from: from.name,
      gives: fromDate(gives.weekOf),
      gets: fromDate(gets.weekOf),
    }));
  }

  private async holders(tx: Tx, { cooperativeId }: { cooperativeId: string }, mondays: readonly string[]) {
    const rows = await tx.rotaTurn.findMany({
      where: { cooperativeId, weekOf: { in: mondays.map(toDate) } },
      select: { weekOf: true, householdId: true },
    });
    return new Set(rows.map(({ weekOf, householdId }) => `${fromDate(weekOf)} ${householdId}`));
  }
}

interface RotaRow {
  state: string;
  weeks: unknown;
  turns: unknown;
}

const draftTurns = (rotas: readonly RotaRow[]): DraftTurn[] =>
  rotas.filter(({ state }) => state === 'draft').flatMap(({ turns }) => turns as DraftTurn[]);

/** Weeks that the rota published last for them leaves without cooks on purpose. */
function weeksWithout(rotas: readonly RotaRow[]): Set<string> {
  const teams = new Map(
    rotas
      .filter(({ state }) => state === 'published')
      .flatMap(({ weeks }) => (weeks as WeekToFill[]).map(({ weekOf, team }) => [weekOf, team] as const)),
  );
  return new Set([...teams].filter(([, team]) => team === 0).map(([weekOf]) => weekOf));
}
