import type { Division, StageName } from './division.ts';
import { wishNames } from './division.ts';
import { drawer } from './drawer.ts';
import type { Counted } from './price-bound.ts';
import { priceBound } from './price-bound.ts';
import { Redivider } from './redivide.ts';
import { objectiveOf } from './share-out.ts';

/**
 * Times that every two households divide anew without any gain before a bound is sought, and before it is given up, more where they take fewer steps of the
 * computation; and steps in all.
 */
const firstIdle = 2;
const mostIdle = 10;
const mostIdleWork = 3_000_000;
const mostWork = 100_000_000;

/** Wishes whose least is known after this search; of the first whose is not, what it cannot be below. */
export interface WishSearch {
  proved: StageName[];
  bound?: { stage: StageName; value: number };
}

const countedOf = ({ holding }: Division): Counted => {
  const { refused, outsideFairShare, score } = objectiveOf(holding);
  return [refused, outsideFairShare, -score];
};

/**
 * Meets wishes better within the room to differ and proves that nothing better exists, without a solver, as far as bounds by prices go (priceBound).
 * Method: every two households divide anew what both have (Redivider), again and again in the drawn order, until the bound is reached or nothing is gained
 * any more. Changes the holding, in which everything that somebody may eat must be allotted. `tell`: hears of each bound.
 */
export function searchWishes(
  division: Division,
  tell: (stage: StageName, number: number, value: number, bound: number) => void,
): WishSearch {
  const { holding, room, proofs } = division;
  const count = holding.problem.households.length;
  const redivider = new Redivider(holding, room, drawer(`wishes ${holding.problem.seed}`));
  const proved: { i: number; stage: StageName; value: number }[] = [];
  const values = (): Counted => countedOf(division);
  /** Stages that are proved, but for one that a later step has made worse after all. */
  const kept = (): StageName[] =>
    proved.filter(({ i, value }) => (values()[i] ?? 0) <= value).map(({ stage }) => stage);
  let [idle, gainedAt] = [0, 0];
  const isSpent = (): boolean =>
    count < 2 || redivider.work >= mostWork || (idle >= mostIdle && redivider.work - gainedAt >= mostIdleWork);
  const sweep = (isEnough: () => boolean): void => {
    const before = values().join(' ');
    for (let a = 0; a < count && !isEnough(); a++)
      for (let b = 0; b < a && redivider.work < mostWork; b++) redivider.redivide(a, b);
    // Nothing that two do makes anything worse, so every change is a gain.
    idle += 1;
    if (values().join(' ') !== before) [idle, gainedAt] = [0, redivider.work];
  };
  const begun = values();
  for (const [i, stage] of wishNames.entries()) {
    const value = (): number => values()[i] ?? 0;
    // What was known without a search may have grown worse since, for the sake of what counts before it.
    if (proofs[stage] !== 'open' && value() <= (begun[i] ?? 0)) continue;
    const boundNow = (): number => {
      const bound = priceBound(holding, room, i, values());
      tell(stage, i + 1, value(), bound);
      return bound;
    };
    // The nearer the division is to the best, the sooner its bound is known.
    while (idle < firstIdle && !isSpent()) sweep(() => false);
    const seen = value();
    let bound = boundNow();
    while (value() > bound && !isSpent()) sweep(() => value() <= bound);
    // There are fewer divisions that are better than a better one, so that its bound may be stronger.
    if (value() > bound && value() < seen) bound = boundNow();
    if (value() > bound)
      return { proved: kept(), ...(Number.isFinite(bound) ? { bound: { stage, value: bound } } : {}) };
    proved.push({ i, stage, value: value() });
  }
  return { proved: kept() };
}
