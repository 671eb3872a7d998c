import { rational, type Rational } from '@frostmoot/calc';
import type { ShareOut } from './share-out-query.ts';

export interface FairnessRow {
  householdId: string;
  name: string;
  /** What was still to come (positive) or ahead (negative) after each of the rounds; undefined where it took no part. */
  after: (Rational | undefined)[];
}

export interface Fairness {
  rounds: number[];
  rows: FairnessRow[];
  /** The furthest that anybody has been away, either way. */
  furthest: Rational;
  /** The value at which half a bar is full: whole portions, at least one. */
  half: number;
}

/** The last `count` share-outs side by side, by household. `names`: of every household that there ever was. */
export function fairnessOver(
  fairness: ShareOut['fairness'],
  names: ReadonlyMap<string, string>,
  count: number,
): Fairness {
  const rounds = [...fairness].sort((a, b) => a.roundNumber - b.roundNumber).slice(-count);
  const known = [...names].filter(([id]) => rounds.some(({ after }) => after.some((one) => one.householdId === id)));
  const rows = known
    .map(([householdId, name]) => ({
      householdId,
      name,
      after: rounds.map(({ after }) => {
        const found = after.find((one) => one.householdId === householdId);
        return found && rational.parse(found.owed);
      }),
    }))
    .sort((a, b) => a.name.localeCompare(b.name));
  const all = rows.flatMap(({ after }) => after.flatMap((owed) => (owed ? [rational.abs(owed)] : [])));
  const furthest = all.reduce(rational.max, rational.zero);
  return {
    rounds: rounds.map(({ roundNumber }) => roundNumber),
    rows,
    furthest,
    half: Math.max(1, Number(rational.ceil(furthest))),
  };
}
