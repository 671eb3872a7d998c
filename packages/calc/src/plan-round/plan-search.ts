import type { PlanProblem } from './plan-problem.ts';
import { usedOf } from './plan-problem.ts';
import type { Aim, Standing } from './plan-worth.ts';
import { aimsOf, betterThan, isHopeless, lotWeights, standingOf } from './plan-worth.ts';

/** What is looked at before the search gives up proving, dishes times choices; about half a second. */
const mostWork = 60_000;
/** Changes that are tried before the improving ends by itself. */
const mostTries = 20_000;

export interface PlanFound {
  readonly aims: readonly Aim[];
  readonly lots: readonly number[];
  readonly standing: Standing;
  readonly isBest: boolean;
}

export const fits = ({ limits }: PlanProblem, batches: readonly number[]): boolean =>
  limits.every((limit) => usedOf(limit, batches) <= limit.most);

type Change = readonly (readonly [dish: number, by: number])[];

/** Changes that are tried: one batch more or fewer of one dish, of two, and one dish for one or two others. */
function* changesOf(dishes: number): Generator<Change> {
  for (let a = 0; a < dishes; a++) {
    yield [[a, 1]];
    yield [[a, -1]];
  }
  for (let a = 0; a < dishes; a++) {
    for (let b = 0; b < dishes; b++) {
      if (a === b) continue;
      yield [[a, 1], [b, -1]]; // prettier-ignore
      yield [[a, 2], [b, -1]]; // prettier-ignore
      yield [[a, 1], [b, -2]]; // prettier-ignore
      if (a < b) yield [[a, 1], [b, 1]]; // prettier-ignore
    }
  }
  if (dishes > 12) return;
  for (let a = 0; a < dishes; a++) {
    for (let b = 0; b < dishes; b++) {
      for (let c = b + 1; c < dishes; c++) {
        if (a === b || a === c) continue;
        yield [[a, -1], [b, 1], [c, 1]]; // prettier-ignore
        yield [[a, 1], [b, -1], [c, -1]]; // prettier-ignore
      }
    }
  }
}

function changed({ least, most }: PlanProblem, batches: readonly number[], change: Change): number[] | undefined {
  const next = [...batches];
  for (const [dish, by] of change) {
    const n = (next[dish] ?? 0) + by;
    if (n < (least[dish] ?? 0) || n > (most[dish] ?? 0)) return undefined;
    next[dish] = n;
  }
  return next;
}

/** Takes the first change that makes the plan better, until none does. */
function improved(problem: PlanProblem, aims: readonly Aim[], lots: readonly number[], from: Standing): Standing {
  let best = from;
  let tries = 0;
  while (tries < mostTries) {
    let next: Standing | undefined;
    for (const change of changesOf(problem.ids.length)) {
      const batches = changed(problem, best.batches, change);
      if (!batches || !fits(problem, batches)) continue;
      tries += 1;
      if (tries > mostTries) break;
      next = betterThan(aims, lots, batches, best);
      if (next) break;
    }
    if (!next) return best;
    best = next;
  }
  return best;
}

/** The better of two ways: straight on, and first using up what is at hand, since portions that are found first may leave no room for it. */
function bestStart(problem: PlanProblem, aims: readonly Aim[], lots: readonly number[]): Standing {
  const straight = improved(problem, aims, lots, standingOf(aims, lots, problem.least));
  const using = aims.filter(({ name }) => name === 'left');
  if (using.length === 0) return straight;
  const first = [...using, ...aims.filter(({ name }) => name !== 'left')];
  const used = improved(problem, first, lots, standingOf(first, lots, problem.least));
  const other = improved(problem, aims, lots, standingOf(aims, lots, used.batches));
  return betterThan(aims, lots, other.batches, straight) ?? straight;
}

/** The most batches of each dish from `from` on, each by itself within what the limits leave beside the fewest of all. */
function mostBeside({ limits, most, least }: PlanProblem, fixed: readonly number[], from: number): number[] {
  const fewest = least.map((each, d) => (d < from ? (fixed[d] ?? 0) : each));
  const rooms = limits.map((limit) => limit.most - usedOf(limit, fewest));
  return fewest.map((few, d) => {
    if (d < from) return few;
    let more = (most[d] ?? 0) - few;
    limits.forEach(({ perBatch, fixed: once }, index) => {
      const each = perBatch[d] ?? 0;
      const room = (rooms[index] ?? 0) - (few === 0 ? (once[d] ?? 0) : 0);
      if (room < 0) more = 0;
      else if (each > 0) more = Math.min(more, Math.floor(room / each));
    });
    return few + more;
  });
}

/** Every plan, dish by dish, leaving out what cannot be better than the best; undefined when there is too much to look at. */
function searchAll(
  problem: PlanProblem,
  aims: readonly Aim[],
  lots: readonly number[],
  from: Standing,
): Standing | undefined {
  const { least, ids } = problem;
  let best = from;
  let work = 0;
  const visit = (fixed: number[]): boolean => {
    work += ids.length;
    if (work > mostWork) return false;
    const depth = fixed.length;
    const fewest = least.map((each, d) => fixed[d] ?? each);
    if (!fits(problem, fewest)) return true;
    if (depth === ids.length) {
      best = betterThan(aims, lots, fewest, best) ?? best;
      return true;
    }
    const most = mostBeside(problem, fewest, depth);
    if (isHopeless(aims, lots, fewest, most, best)) return true;
    for (let n = most[depth] ?? 0; n >= (least[depth] ?? 0); n--) if (!visit([...fixed, n])) return false;
    return true;
  };
  return visit([]) ? best : undefined;
}

/**
 * The best batches without a solver: from the batches that must be made single changes that make the plan better (bestStart), then a search through all plans
 * with bounds from both ends, since more batches only lower some aims and only raise the others. `isBest` when that search came to its end.
 */
export function searchBatches(problem: PlanProblem): PlanFound {
  const aims = aimsOf(problem);
  const lots = lotWeights(problem);
  const standing = bestStart(problem, aims, lots);
  const proved = searchAll(problem, aims, lots, standing);
  return { aims, lots, standing: proved ?? standing, isBest: proved !== undefined };
}
