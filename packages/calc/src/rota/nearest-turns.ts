import { canonicalJson } from '../canonical.ts';
import { rational } from '../rational.ts';
import { chairmanOrder } from './chairman.ts';
import type { Draft } from './draft-rota.ts';
import { countOf, draftRota, fill } from './draft-rota.ts';
import { fillIn } from './fill-in.ts';
import { Levelling } from './level-turns.ts';
import type { Limits } from './limits.ts';
import type { Targets } from './loads.ts';
import { nearestLoads, squaresOf, targetsOf } from './loads.ts';
import type { RotaInput } from './rota-input.ts';
import type { RotaProblem } from './rota-problem.ts';
import { rotaProblem } from './rota-problem.ts';
import { RotaSearch } from './rota-search.ts';

/** Weeks have exactly the cooks that the draft gives them, so that loads are compared among rotas of the same size. */
function exactly(problem: RotaProblem, { on, limits }: Draft): Limits {
  const weeks = problem.weeks.length;
  const cooks = new Int32Array(weeks);
  on.forEach((value, pair) => (cooks[pair % weeks] = (cooks[pair % weeks] ?? 0) + value));
  return { ...limits, least: cooks, most: cooks };
}

/** The search for better loads may have fewer dead ends the larger the rota, so that its time stays the same. */
const searchWork = 3_000_000;

/** Dead ends of each search for a rota whose loads are at, or within a turn or two of, those that availability alone would allow. */
const nearFails = 300;
const widestTolerance = 2;

interface Levelled {
  on: Uint8Array;
  /** no rota under these limits has a smaller sum of squares than this */
  bound: bigint;
  squares: bigint;
}

/** The turns passed on until the loads are nearest to their targets, by chains first and, where a bound does not prove them best, by search. */
function levelled(problem: RotaProblem, limits: Limits, targets: Targets, start: Uint8Array): Levelled {
  const nearest = nearestLoads(problem, limits, targets);
  const bound = nearest ? squaresOf(targets, nearest) : 0n;
  const improve = (turns: ArrayLike<number>): Levelled => {
    const levelling = new Levelling(problem, limits, targets, turns);
    levelling.run();
    return { on: levelling.turns(), bound, squares: squaresOf(targets, levelling.loads()) };
  };
  let best = improve(start);
  for (let tolerance = 0; nearest && best.squares > bound && tolerance <= widestTolerance; tolerance++) {
    const near = fill(problem, limits, { left: nearFails }, { turns: nearest, tolerance });
    if (typeof near === 'number') continue;
    const other = improve(near);
    if (other.squares < best.squares) best = other;
    break;
  }
  for (;;) {
    if (best.squares <= bound) return best;
    const search = new RotaSearch(problem, limits, 0, problem.weeks.length - 1);
    if (!search.begin()) return best;
    const isHopeless = (): boolean => {
      const loads = nearestLoads(problem, limits, targets, search);
      return !loads || squaresOf(targets, loads) >= best.squares;
    };
    const prefer = (h: number): number => {
      const deviation = BigInt(search.turns[h] ?? 0) * targets.factor - (targets.parts[h] ?? 0n);
      return -Number(deviation);
    };
    const fails = Math.floor(searchWork / Math.max(1, start.length * start.length));
    if (fails < 10) return best;
    const found = fillIn(search, { prefer, fails, effort: { left: fails }, isHopeless });
    if (found === 'no') return { ...best, bound: best.squares };
    if (found === 'unknown') return best;
    best = improve(search.state);
  }
}

/** One cook a week and nothing else to keep: the turns of each household are then spread by Tijdeman's rule. */
function isPlain({ weeks, households, away, kept, demands }: RotaProblem): boolean {
  return (
    demands.length === 0 &&
    weeks.length > 0 &&
    households.length > 0 &&
    weeks.every(({ team, potMl }) => team === 1 && potMl === 0) &&
    households.every(({ minGap }) => minGap === 0) &&
    !away.includes(1) &&
    !kept.includes(1)
  );
}

export const loadsOf = ({ weeks, households }: RotaProblem, on: Uint8Array): number[] =>
  households.map((_, h) => on.subarray(h * weeks.length, (h + 1) * weeks.length).reduce((a, b) => a + b, 0));

function spread(problem: RotaProblem, on: Uint8Array): Uint8Array {
  const { weeks, households } = problem;
  const loads = loadsOf(problem, on);
  const numbers = new Map(households.map(({ id }, h) => [id, h]));
  const rates = new Map(households.map(({ id }, h) => [id, rational(BigInt(loads[h] ?? 0))]));
  const spreadOut = new Uint8Array(on.length);
  chairmanOrder(rates, weeks.length, canonicalJson(weeks.map(({ id }) => id))).forEach((id, week) => {
    spreadOut[(numbers.get(id) ?? 0) * weeks.length + week] = 1;
  });
  return spreadOut;
}

/** Everything that planRota finds out, for whoever goes on from there. */
export interface RotaWork {
  problem: RotaProblem;
  draft: Draft;
  limits: Limits;
  levelled: Levelled;
}

export const workOutRota = (input: RotaInput): RotaWork => {
  const problem = rotaProblem(input);
  return settled(problem, draftRota(problem));
};

/** The nearest loads that chains and a short search find for a draft. */
export function settled(problem: RotaProblem, draft: Draft): RotaWork {
  const limits = exactly(problem, draft);
  const found = levelled(problem, limits, targetsOf(problem, countOf(limits.least)), draft.on);
  return { problem, draft, limits, levelled: isPlain(problem) ? { ...found, on: spread(problem, found.on) } : found };
}
