import { snapCarried } from '../allocation/carry.ts';
import { byCodeUnits, canonicalJson, sortedRecord } from '../canonical.ts';
import type { Rational } from '../rational.ts';
import { format, isZero, rational, sub } from '../rational.ts';
import { brokenBy } from './broken-limits.ts';
import type { Draft } from './draft-rota.ts';
import type { Limit, Limits } from './limits.ts';
import { inOrder, limitOf } from './limits.ts';
import { squaresOf, targetsOf } from './loads.ts';
import { loadsOf, workOutRota } from './nearest-turns.ts';
import { withoutItems } from './repair.ts';
import type { RotaInput, Turn } from './rota-input.ts';
import { readRota } from './rota-input.ts';
import type { RotaProblem } from './rota-problem.ts';

/** A household's turns: due, had, and what is owed to it afterwards (below nil: what it has had too many). */
export interface Load {
  target: Rational;
  given: number;
  owedAfter: Rational;
}

/** Who cooks when. `conflict` and `relax` only when not all limits can be kept. */
export interface Rota {
  proof: 'optimal' | 'bounded' | 'constructive';
  turns: Turn[];
  load: Map<string, Load>;
  /** limits that cannot be kept together, though without any one of them the others can */
  conflict: Limit[];
  /** the limits that this rota gives up so that every other is kept */
  relax: Limit[];
  /** sum over households of (given - target)^2, and with `bounded` what it is at least */
  squares: Rational;
  atLeast?: Rational;
  /** what the snap of long fractions left for the common account, nearly always nil */
  common: Rational;
}

/** What the turns do not keep, by name; a team that is too small or too large as the number that cooks. */
function givenUpLimits(problem: RotaProblem, asked: Limits, on: Uint8Array): Limit[] {
  const items = brokenBy(problem, asked, on);
  const limits = withoutItems(problem, items);
  const named = items.map((item) => {
    const cooks = item.kind === 'least' ? limits.least[item.at] : item.kind === 'most' ? limits.most[item.at] : 0;
    return limitOf(problem, { ...item, cooks: cooks ?? 0 });
  });
  return inOrder([...new Map(named.map((limit) => [canonicalJson(limit), limit])).values()]);
}

/** The result of turns that have been found, with the proof that goes with them. */
export function rotaOf(problem: RotaProblem, draft: Draft, on: Uint8Array, bound: bigint | undefined): Rota {
  const { weeks, households } = problem;
  const targets = targetsOf(
    problem,
    on.reduce((a, b) => a + b, 0),
  );
  const given = loadsOf(problem, on);
  const target = (h: number): Rational => targets.exact[h] ?? rational(0n);
  const owed = households.map(({ id }, h) => [id, sub(target(h), rational(BigInt(given[h] ?? 0)))] as const);
  const { carried, common } = snapCarried(new Map(owed), canonicalJson(weeks.map(({ id }) => id)));
  const squares = squaresOf(targets, given);
  const proved = bound !== undefined && bound >= squares;
  const loads = households.map(({ id }, h): [string, Load] => [
    id,
    { target: target(h), given: given[h] ?? 0, owedAfter: carried.get(id) ?? rational(0n) },
  ]);
  const unit = targets.factor * targets.factor;
  return {
    proof: !draft.cheapest || bound === undefined ? 'constructive' : proved ? 'optimal' : 'bounded',
    turns: weeks.flatMap((week, w) =>
      households
        .flatMap(({ id }, h) => (on[h * weeks.length + w] ? [{ week: week.id, household: id }] : []))
        .sort((a, b) => byCodeUnits(a.household, b.household)),
    ),
    load: new Map(loads.sort(([a], [b]) => byCodeUnits(a, b))),
    conflict: inOrder(draft.conflict.map((item) => limitOf(problem, item))),
    relax: givenUpLimits(problem, draft.asked, on),
    squares: rational(squares, unit),
    atLeast: draft.cheapest && bound !== undefined && !proved ? rational(bound, unit) : undefined,
    common,
  };
}

/**
 * Who cooks in which week.
 * Method: (1) fill all weeks under all limits, scarcest choice first (fillIn); when that cannot be, find irreducible conflicts and the cheapest limits to give
 * up so that none is left (conflictsOf, cheapestHit: implicit hitting sets, Moreno-Centeno and Karp, Operations Research 61, 2013); (2) pass turns on along
 * chains until loads are nearest to their targets in squares; the bound is the least sum of squares under availability alone (nearestLoads), and where it
 * is not met a search goes on for a limited time. With one cook a week and nothing else, turns are spread by Tijdeman's rule (chairmanOrder). Ties by lot
 * from the ids of the weeks.
 * Guarantee: every limit is kept except those in `relax`; `optimal`: no cheaper repair exists, and no rota with as many cooks in each week has a smaller sum of squares;
 * `bounded`: the same, but the sum of squares is only known to be at least `atLeast`; `constructive`: neither is proved. Sums: given + owedAfter = target.
 * `weight`, `owedTurns`: exact, turns; team and minGap: whole.
 */
export function planRota(input: RotaInput): Rota {
  const { problem, draft, levelled: found } = workOutRota(input);
  return rotaOf(problem, draft, found.on, found.bound);
}

/** The JSON form of a rota: fractions as text; `conflict`, `relax`, `atLeast` and `common` only when there is something to say. */
export interface RotaOutput {
  proof: Rota['proof'];
  turns: Turn[];
  load: Record<string, { target: string; given: number; owedAfter: string }>;
  conflict?: Limit[];
  relax?: Limit[];
  atLeast?: string;
  common?: string;
}

export function writeRota({ proof, turns, load, conflict, relax, atLeast, common }: Rota): RotaOutput {
  return {
    proof,
    turns,
    load: sortedRecord(
      [...load].map(([id, { target, given, owedAfter }]) => [
        id,
        { target: format(target), given, owedAfter: format(owedAfter) },
      ]),
    ),
    ...(conflict.length > 0 ? { conflict } : {}),
    ...(relax.length > 0 ? { relax } : {}),
    ...(atLeast ? { atLeast: format(atLeast) } : {}),
    ...(isZero(common) ? {} : { common: format(common) }),
  };
}

/** The command `rota`: planRota from JSON to JSON. Throws `invalid-input` with every fault and its pointer (readRota). */
export const rota = (input: unknown): RotaOutput => writeRota(planRota(readRota(input)));
