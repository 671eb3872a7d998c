import { Injectable } from '@nestjs/common';
import { fromDate, toDate } from '../platform/db/dates.ts';
import { newId } from '../platform/db/ids.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

export type TurnState = 'published' | 'swapped' | 'covered' | 'open' | 'not-done';
export interface TurnRow {
  id: string;
  weekOf: string;
  household: { id: string; name: string } | null;
  state: TurnState;
  cookDayId: string | null;
  version: number;
}
/** A change of a turn's holder, and which of the ways it came about. */
export interface TurnMove {
  turnId: string;
  from: string | null;
  to: string | null;
  kind: 'published' | 'cover' | 'swap' | 'illness';
  documentId: string | null;
}

const include = { household: { select: { id: true, name: true } } } as const;
const stateOf = { published: 'published', cover: 'covered', swap: 'swapped', illness: 'open' } as const;

/** Published turns of weeks, and how they went from one household to another. */
@Injectable()
export class RotaTurnsRepository {
  /** Nobody else changes drafts or turns of the cooperative until the transaction ends: a limit may depend on any of them. */
  async lock(tx: Tx, { cooperativeId }: Scope): Promise<void> {
    await tx.$queryRaw`SELECT 1 FROM cooperative WHERE id = ${cooperativeId}::uuid FOR NO KEY UPDATE`;
  }

  /** Turns of the weeks from one Monday to another, that one too. */
  async between(tx: Tx, { cooperativeId }: Scope, first: string, last: string): Promise<TurnRow[]> {
    const rows = await tx.rotaTurn.findMany({
      where: { cooperativeId, weekOf: { gte: toDate(first), lte: toDate(last) } },
      include,
      orderBy: [{ weekOf: 'asc' }, { id: 'asc' }],
    });
    return rows.map(rowOf);
  }

  /** Turns from the week of this Monday on. */
  from(tx: Tx, scope: Scope, monday: string): Promise<TurnRow[]> {
    return this.between(tx, scope, monday, '9999-12-27');
  }

  async find(tx: Tx, { cooperativeId }: Scope, id: string): Promise<TurnRow | null> {
    const row = await tx.rotaTurn.findUnique({ where: { cooperativeId_id: { cooperativeId, id } }, include });
    return row && rowOf(row);
  }

  async byIds(tx: Tx, { cooperativeId }: Scope, ids: readonly string[]): Promise<Map<string, TurnRow>> {
    const rows = await tx.rotaTurn.findMany({ where: { cooperativeId, id: { in: [...ids] } }, include });
    return new Map(rows.map((row) => [row.id, rowOf(row)]));
  }

  /** A new turn of a week, of somebody or of nobody yet; gives its id. */
  async add(tx: Tx, scope: Scope, rotaId: string, weekOf: string, householdId: string | null): Promise<string> {
    const { cooperativeId } = scope;
    const id = newId();
    await tx.rotaTurn.create({
      data: {
        cooperativeId,
        id,
        rotaId,
        weekOf: toDate(weekOf),
        householdId,
        state: householdId === null ? 'open' : 'published',
      },
      select: { id: true },
    });
    await this.note(tx, scope, { turnId: id, from: null, to: householdId, kind: 'published', documentId: rotaId });
    return id;
  }

  /** Gives a turn to another household, or to nobody. */
  async move(tx: Tx, scope: Scope, move: TurnMove): Promise<void> {
    await tx.rotaTurn.update({
      where: { cooperativeId_id: { cooperativeId: scope.cooperativeId, id: move.turnId } },
      data: {
        householdId: move.to,
        state: move.to === null ? 'open' : stateOf[move.kind],
        version: { increment: 1 },
      },
      select: { id: true },
    });
    await this.note(tx, scope, move);
  }

  /** Turns that nobody has and nobody can take any more: the week is over, and the cook day as well where they have one. */
  async passed(
    tx: Tx,
    { cooperativeId }: Scope,
    { thisMonday, today }: { thisMonday: string; today: string },
  ): Promise<TurnRow[]> {
    const rows = await tx.rotaTurn.findMany({
      where: {
        cooperativeId,
        state: 'open',
        weekOf: { lt: toDate(thisMonday) },
        OR: [{ cookDayId: null }, { cookDay: { date: { lt: toDate(today) } } }],
      },
      include,
      orderBy: [{ weekOf: 'asc' }, { id: 'asc' }],
    });
    return rows.map(rowOf);
  }

  async close(tx: Tx, { cooperativeId }: Scope, ids: readonly string[]): Promise<void> {
    await tx.rotaTurn.updateMany({
      where: { cooperativeId, id: { in: [...ids] } },
      data: { state: 'not-done', version: { increment: 1 } },
    });
  }

  async history(tx: Tx, { cooperativeId }: Scope, turnId: string) {
    const moves = await tx.rotaTurnMove.findMany({ where: { cooperativeId, turnId }, orderBy: { id: 'asc' } });
    const people = await tx.person.findMany({
      where: { id: { in: moves.map(({ createdBy }) => createdBy) } },
      select: { id: true, displayName: true },
    });
    const names = new Map(people.map(({ id, displayName }) => [id, displayName]));
    return moves.map((move) => ({ ...move, by: names.get(move.createdBy) ?? '' }));
  }

  /** What the turns book says of every household, in micro-turns. */
  async balances(tx: Tx, { cooperativeId }: Scope): Promise<Map<string, bigint>> {
    const rows = await tx.account.findMany({
      where: { cooperativeId, book: 'turns', kind: 'household' },
      select: { householdId: true, balance: true },
    });
    return new Map(rows.map(({ householdId, balance }) => [String(householdId), balance]));
  }

  private async note(tx: Tx, { cooperativeId, personId }: Scope, move: TurnMove): Promise<void> {
    await tx.rotaTurnMove.create({
      data: {
        cooperativeId,
        id: newId(),
        turnId: move.turnId,
        kind: move.kind,
        fromHouseholdId: move.from,
        toHouseholdId: move.to,
        documentId: move.documentId,
        createdBy: personId,
      },
      select: { id: true },
    });
  }
}

function rowOf(row: {
  id: string;
  weekOf: Date;
  household: { id: string; name: string } | null;
  state: string;
  cookDayId: string | null;
  version: number;
}): TurnRow {
  const { id, weekOf, household, state, cookDayId, version } = row;
  return { id, weekOf: fromDate(weekOf), household, state: state as TurnState, cookDayId, version };
}
