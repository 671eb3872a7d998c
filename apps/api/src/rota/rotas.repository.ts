import { Injectable } from '@nestjs/common';
import type { RotaLimit, RotaOutput, WeekToFill } from '@frostmoot/calc';
import { fromDate, toDate } from '../platform/db/dates.ts';
import { newId } from '../platform/db/ids.ts';
import { json } from '../platform/db/json.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

export interface DraftTurn {
  weekOf: string;
  householdId: string;
  /** whether it is to stay when the draft is worked out again */
  kept: boolean;
}
export interface RotaRow {
  id: string;
  state: 'draft' | 'published' | 'set-aside';
  weeks: WeekToFill[];
  result: RotaOutput;
  turns: DraftTurn[];
  accepted: RotaLimit[];
  createdAt: Date;
  version: number;
}

/** Drafts of the rota, one at a time, and what was published from them. */
@Injectable()
export class RotasRepository {
  async draft(tx: Tx, { cooperativeId }: Scope): Promise<RotaRow | null> {
    const row = await tx.rota.findFirst({ where: { cooperativeId, state: 'draft' } });
    return row && rowOf(row);
  }

  async find(tx: Tx, { cooperativeId }: Scope, id: string): Promise<RotaRow | null> {
    const row = await tx.rota.findUnique({ where: { cooperativeId_id: { cooperativeId, id } } });
    return row && rowOf(row);
  }

  /** The weeks of what was published, the latest first. */
  async publishedWeeks(tx: Tx, { cooperativeId }: Scope, since: string): Promise<Map<string, WeekToFill>> {
    const rows = await tx.rota.findMany({
      where: { cooperativeId, state: 'published' },
      select: { weeks: true },
      orderBy: { publishedAt: 'asc' },
    });
    const weeks = rows.flatMap((row) => row.weeks as unknown as WeekToFill[]);
    return new Map(weeks.filter(({ weekOf }) => weekOf >= since).map((week) => [week.weekOf, week]));
  }

  async add(
    tx: Tx,
    { cooperativeId, personId }: Scope,
    made: { weeks: readonly WeekToFill[]; input: unknown; result: RotaOutput; turns: readonly DraftTurn[] },
    now: Date,
  ): Promise<string> {
    const id = newId();
    await tx.rota.create({
      data: {
        cooperativeId,
        id,
        weeks: json(made.weeks),
        input: json(made.input),
        result: json(made.result),
        turns: json(made.turns),
        createdBy: personId,
        createdAt: now,
      },
      select: { id: true },
    });
    return id;
  }

  async change(
    tx: Tx,
    { cooperativeId }: Scope,
    id: string,
    change: { turns?: readonly DraftTurn[]; accepted?: readonly RotaLimit[] },
  ): Promise<void> {
    await tx.rota.update({
      where: { cooperativeId_id: { cooperativeId, id } },
      data: {
        ...(change.turns ? { turns: json(change.turns) } : {}),
        ...(change.accepted ? { accepted: json(change.accepted) } : {}),
        version: { increment: 1 },
      },
      select: { id: true },
    });
  }

  async setAside(tx: Tx, { cooperativeId }: Scope): Promise<void> {
    await tx.rota.updateMany({
      where: { cooperativeId, state: 'draft' },
      data: { state: 'set-aside', version: { increment: 1 } },
    });
  }

  async publish(tx: Tx, { cooperativeId, personId }: Scope, id: string, now: Date): Promise<void> {
    await tx.rota.update({
      where: { cooperativeId_id: { cooperativeId, id } },
      data: { state: 'published', publishedBy: personId, publishedAt: now, version: { increment: 1 } },
      select: { id: true },
    });
  }

  /** The dishes of rounds that are to be cooked from one date to another, and what one batch of each needs of pots. */
  async dishesOfRounds(tx: Tx, { cooperativeId }: Scope, from: string, to: string) {
    const rounds = await tx.round.findMany({
      where: { cooperativeId, cookOn: { gte: toDate(from), lte: toDate(to) }, stage: { not: 'settled' } },
      select: { cookOn: true, dishes: { select: { recipeVersion: { select: { recipeId: true, potLitres: true } } } } },
      orderBy: { number: 'asc' },
    });
    return rounds.flatMap(({ cookOn, dishes }) =>
      dishes.map(({ recipeVersion }) => ({ cookOn: fromDate(cookOn), ...recipeVersion })),
    );
  }

  /** Recipes by id: what they are called and what a batch needs of pots. */
  async recipes(tx: Tx, { cooperativeId }: Scope, ids: readonly string[]) {
    const rows = await tx.recipe.findMany({
      where: { cooperativeId, id: { in: [...ids] } },
      select: {
        id: true,
        name: true,
        versions: { select: { potLitres: true }, orderBy: { number: 'desc' }, take: 1 },
      },
    });
    return new Map(rows.map(({ id, name, versions }) => [id, { id, name, potLitres: versions[0]?.potLitres ?? null }]));
  }
}

function rowOf(row: {
  id: string;
  state: string;
  weeks: unknown;
  result: unknown;
  turns: unknown;
  accepted: unknown;
  createdAt: Date;
  version: number;
}): RotaRow {
  return {
    id: row.id,
    state: row.state as RotaRow['state'],
    weeks: row.weeks as WeekToFill[],
    result: row.result as RotaOutput,
    turns: row.turns as DraftTurn[],
    accepted: row.accepted as RotaLimit[],
    createdAt: row.createdAt,
    version: row.version,
  };
}
