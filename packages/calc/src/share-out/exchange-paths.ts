import type { Holding } from './holding.ts';
import type { Exchange } from './level.ts';
import { BundlesOf } from './level.ts';

/** Chains tried at most, so that a huge input ends too. */
const mostChains = 2000;

/** Some exchange between two households that takes exactly this many units from one to the other, of at most two containers against at most two. */
function exchangeOf(
  holding: Holding,
  bundles: BundlesOf,
  from: number,
  to: number,
  units: number,
): Exchange | undefined {
  const takes = bundles.from(to, from).ofSize;
  for (const give of bundles.from(from, to).list) {
    const take = takes.get(give.size - units);
    if (take && holding.hasRoom(from, take.lots, give.lots) && holding.hasRoom(to, give.lots, take.lots))
      return { give, take };
  }
  return undefined;
}

function carryOut(holding: Holding, { give, take }: Exchange, from: number, to: number): void {
  holding.move(give.lots, from, to);
  holding.move(take.lots, to, from);
}

/** The shortest chain of households from one to any of the others along which so many units can be passed on. */
function chainTo(
  holding: Holding,
  bundles: BundlesOf,
  from: number,
  goals: ReadonlySet<number>,
  units: number,
): number[] | undefined {
  const via = new Map<number, number>([[from, -1]]);
  const queue = [from];
  for (const a of queue) {
    for (let b = 0; b < holding.problem.households.length; b++) {
      if (via.has(b) || !exchangeOf(holding, bundles, a, b, units)) continue;
      via.set(b, a);
      if (goals.has(b)) {
        const chain = [b];
        for (let at = a; at >= 0; at = via.get(at) ?? -1) chain.push(at);
        return chain.reverse();
      }
      queue.push(b);
    }
  }
  return undefined;
}

/** Passes units along a chain, the last link first; undoes all when an earlier link no longer holds. */
function passAlong(holding: Holding, bundles: BundlesOf, chain: readonly number[], units: number): boolean {
  const done: (() => void)[] = [];
  for (let i = chain.length - 2; i >= 0; i--) {
    const [a = 0, b = 0] = [chain[i], chain[i + 1]];
    const exchange = exchangeOf(holding, bundles, a, b, units);
    if (!exchange) {
      for (const undo of done.reverse()) undo();
      return false;
    }
    carryOut(holding, exchange, a, b);
    done.push(() => carryOut(holding, { give: exchange.take, take: exchange.give }, a, b));
  }
  return true;
}

function improveOnce(holding: Holding, bundles: BundlesOf): boolean {
  const { deviation, sizeFactor } = holding;
  const order = deviation.map((_, h) => h).sort((a, b) => ((deviation[a] ?? 0n) < (deviation[b] ?? 0n) ? 1 : -1));
  const off = (h: number): bigint => deviation[h] ?? 0n;
  const widest = (off(order[0] ?? 0) - off(order.at(-1) ?? 0)) / sizeFactor;
  for (let units = 1n; units <= widest && units <= 12n; units++) {
    for (const from of order) {
      // Passing units on lessens the squares when the ends are further apart than that.
      const goals = order.filter((to) => off(from) - off(to) > units * sizeFactor);
      if (goals.length === 0) break;
      const chain = chainTo(holding, bundles, from, new Set(goals), Number(units));
      if (chain && passAlong(holding, bundles, chain, Number(units))) return true;
    }
  }
  return false;
}

/**
 * Passes units from households above their targets to ones below along chains of exchanges, as long as that lessens the sum of squared deviations; it
 * finds what no exchange between two can do. Only both ends of a chain change what they have, and the one with more has less after, so that a
 * bound on everyone's deviation that held before holds after.
 */
export function levelAlongChains(holding: Holding): void {
  const bundles = new BundlesOf(holding);
  for (let chains = 0; chains < mostChains && improveOnce(holding, bundles); chains++);
}
