import type { Item, LimitKind, Limits } from './limits.ts';
import { allLimits, itemsOf, lift } from './limits.ts';
import type { RotaProblem } from './rota-problem.ts';

/**
 * What it costs to give a limit up, for least and most by cook. Our decision: what can be borrowed is cheapest, then a shorter rest, another dish, a smaller or
 * larger team, a turn that was promised, and last to ask somebody who is away.
 */
export const priceOf: Record<LimitKind, number> = { pots: 1, gap: 2, skill: 3, least: 4, most: 4, kept: 5, away: 8 };

const isGivenUp = (limits: Limits, { kind, at, cooks }: Item): boolean =>
  kind === 'least'
    ? (limits.least[at] ?? 0) < cooks
    : kind === 'most'
      ? (limits.most[at] ?? 0) > cooks
      : !limits[kind][at];

/** What giving up one more item costs. */
function extraPrice(limits: Limits, item: Item): number {
  if (isGivenUp(limits, item)) return 0;
  const { kind, at, cooks } = item;
  const steps =
    kind === 'least' ? (limits.least[at] ?? 0) - cooks + 1 : kind === 'most' ? cooks + 1 - (limits.most[at] ?? 0) : 1;
  return steps * priceOf[kind];
}

/** What some items together cost. */
export function priceOfItems(problem: RotaProblem, items: readonly Item[]): number {
  const limits = allLimits(problem);
  let price = 0;
  for (const item of items) {
    price += extraPrice(limits, item);
    lift(limits, item);
  }
  return price;
}

export function withoutItems(problem: RotaProblem, items: readonly Item[]): Limits {
  const limits = allLimits(problem);
  for (const item of items) lift(limits, item);
  return limits;
}

export interface Repair {
  items: readonly Item[];
  price: number;
  /** whether no cheaper choice meets every conflict */
  cheapest: boolean;
}

const mostSteps = 20_000;

/** The cheapest way to meet the conflicts from `limits` on, at least: those that share nothing must each be met by itself. */
function atLeast(limits: Limits, conflicts: readonly (readonly Item[])[]): number {
  const touched = new Set<string>();
  let price = 0;
  for (const conflict of conflicts) {
    if (conflict.some((item) => isGivenUp(limits, item))) continue;
    const keys = conflict.map(({ kind, at }) => `${kind} ${at}`);
    if (keys.some((key) => touched.has(key))) continue;
    for (const key of keys) touched.add(key);
    price += Math.min(...conflict.map((item) => extraPrice(limits, item)));
  }
  return price;
}

/**
 * The cheapest items of which every conflict has at least one. Method: branch and bound over the items of the smallest open conflict; conflicts that share nothing
 * give the bound. Among equally cheap choices the one found first in the order of the conflicts.
 */
export function cheapestHit(problem: RotaProblem, conflicts: readonly (readonly Item[])[]): Repair {
  let best: Repair = { items: [], price: Infinity, cheapest: true };
  let steps = 0;
  const visit = (items: readonly Item[], price: number): void => {
    if (++steps > mostSteps) return;
    const limits = withoutItems(problem, items);
    if (price + atLeast(limits, conflicts) >= best.price) return;
    const open = conflicts.filter((conflict) => !conflict.some((item) => isGivenUp(limits, item)));
    const smallest = open.reduce<readonly Item[] | undefined>((a, b) => (a && a.length <= b.length ? a : b), undefined);
    if (!smallest) {
      best = { items, price, cheapest: true };
      return;
    }
    const choices = smallest.map((item) => ({ item, extra: extraPrice(limits, item) }));
    for (const { item, extra } of choices.sort((a, b) => a.extra - b.extra)) visit([...items, item], price + extra);
  };
  visit([], 0);
  return { ...best, cheapest: steps <= mostSteps };
}

/**
 * What is cheapest to give up in a week, or in the first other one where there is something. When all of this is given up no week needs cooks, which is always
 * possible.
 */
export function cheapestItem(problem: RotaProblem, limits: Limits, week: number): Item | undefined {
  for (const w of [week, ...problem.weeks.keys()]) {
    const open = itemsOf(problem, limits, w, w).filter(
      // The largest team that is asked for is the one to make smaller; a larger one is never needed.
      ({ kind, cooks }) => kind !== 'most' && (kind !== 'least' || cooks === limits.least[w]),
    );
    const [cheapest] = open.sort((a, b) => priceOf[a.kind] - priceOf[b.kind]);
    if (cheapest) return cheapest;
  }
  return undefined;
}
