import type { TurnRow } from './rota-turns.repository.ts';
import type { RotaRow } from './rotas.repository.ts';

/** What publishing a draft does to the turns: who gets which that is there already, and how many new ones there are. */
export interface Publication {
  moves: { turnId: string; weekOf: string; from: string | null; to: string | null; cookDayId: string | null }[];
  added: { weekOf: string; householdId: string | null }[];
}

/**
 * Week by week: whoever the draft leaves out gives its turn to whoever it puts in, turns that nobody has are filled next, then new ones are made, also for the
 * cooks that are still missing. `present`: the turns of the draft's weeks as they stand.
 */
export function publication(
  { weeks, turns }: Pick<RotaRow, 'weeks' | 'turns'>,
  present: readonly TurnRow[],
): Publication {
  const result: Publication = { moves: [], added: [] };
  for (const { weekOf, team } of weeks) {
    const rows = present.filter((row) => row.weekOf === weekOf);
    const wanted = turns.filter((turn) => turn.weekOf === weekOf).map(({ householdId }) => householdId);
    const coming = wanted.filter((id) => !rows.some(({ household }) => household?.id === id));
    const going = rows.filter(({ household }) => household && !wanted.includes(household.id));
    const free = [...going, ...rows.filter(({ household }) => !household)];
    for (const row of free) {
      const to = coming.shift() ?? null;
      const from = row.household?.id ?? null;
      if (from !== to) result.moves.push({ turnId: row.id, weekOf, from, to, cookDayId: row.cookDayId });
    }
    const missing = Math.max(0, team - rows.length - coming.length);
    result.added.push(...coming.map((householdId) => ({ weekOf, householdId })));
    result.added.push(...Array.from({ length: missing }, () => ({ weekOf, householdId: null })));
  }
  return result;
}

/** How many turns each household gets by it, below nil where it loses some. */
export function givenBy({ moves, added }: Publication): Map<string, number> {
  const given = new Map<string, number>();
  const count = (id: string | null, by: number): void => {
    if (id !== null) given.set(id, (given.get(id) ?? 0) + by);
  };
  for (const { from, to } of moves) {
    count(from, -1);
    count(to, 1);
  }
  for (const { householdId } of added) count(householdId, 1);
  return given;
}
