import type { Rational } from '../rational.ts';
import { add, cmp, div, eq, floor, isZero, max, mul, one, rational, sub, sum, zero } from '../rational.ts';
import { CostFlow } from './cost-flow.ts';
import { FlowNetwork } from './flow-network.ts';
import { fractionalDivision } from './fractional.ts';
import type { Problem } from './problem.ts';
import { supplyOf } from './problem.ts';

/** The weight of one whole deviation among the costs; what a wish or a dislike costs stays far below. */
const deviationCost = 2n ** 40n;
const dislikeCost = 4096;

/** What part of each dish each household gets: parts[household][dish], summing to one over those who eat it. */
function partsOf(problem: Problem, rows: readonly Rational[]): Rational[][] {
  const supply = supplyOf(problem, problem.free);
  const amounts = fractionalDivision(rows, supply, problem.eats);
  const weightFor = problem.dishes.map((_, dish) => {
    const eaters = problem.households.filter((__, h) => problem.eats[h]?.[dish]);
    const all = sum(eaters.map(({ weight }) => weight));
    return { all, equal: rational(1n, BigInt(Math.max(1, eaters.length))) };
  });
  // A dish that counts nothing is spread by weight, because the amounts say nothing of it.
  const byWeight = (h: number, dish: number): Rational => {
    if (!problem.eats[h]?.[dish]) return zero;
    const { all, equal } = weightFor[dish] ?? { all: zero, equal: zero };
    return isZero(all) ? equal : div(problem.households[h]?.weight ?? zero, all);
  };
  return amounts.map((row, h) =>
    row.map((amount, dish) => {
      const there = supply[dish] ?? zero;
      return isZero(there) ? byWeight(h, dish) : div(amount, there);
    }),
  );
}

/** Beyond this many households x lots the cheapest rounding takes too long, and any rounding within the bounds is taken. */
const mostCosted = 6000;

interface WholeFlow {
  addNode(): number;
  addArc(from: number, to: number, capacity: number, cost: number): number;
  flowOn(arc: number): number;
  run(source: number, sink: number): number;
}

function uncosted(): WholeFlow {
  const network = new FlowNetwork();
  return {
    addNode: () => network.addNode(),
    addArc: (from, to, capacity) => network.addArc(from, to, BigInt(capacity)),
    flowOn: (arc) => Number(network.flowOn(arc)),
    run: (source, sink) => Number(network.run(source, sink)),
  };
}

/** The network of one rounding: every arc has an exact flow and may carry its floor or its ceiling. */
class RoundingNetwork {
  readonly flow: WholeFlow;
  readonly source: number;
  readonly sink: number;
  readonly end: number;
  private readonly excess = new Map<number, number>();

  constructor(flow: WholeFlow) {
    this.flow = flow;
    this.source = flow.addNode();
    this.sink = flow.addNode();
    this.end = flow.addNode();
  }

  supply(node: number, amount: number): void {
    this.excess.set(node, (this.excess.get(node) ?? 0) + amount);
  }

  /** Gives a reader of the whole flow on the arc. */
  bounded(from: number, to: number, exact: Rational, cost: number): () => number {
    const least = Number(floor(exact));
    this.supply(to, least);
    this.supply(from, -least);
    if (exact.d === 1n) return () => least;
    const arc = this.flow.addArc(from, to, 1, cost);
    return () => least + this.flow.flowOn(arc);
  }

  solve(): void {
    let wanted = 0;
    for (const [node, amount] of this.excess) {
      if (amount > 0) this.flow.addArc(this.source, node, amount, 0);
      if (amount < 0) this.flow.addArc(node, this.sink, -amount, 0);
      wanted += Math.max(0, amount);
    }
    // The exact flow itself is feasible, so a whole one exists (all bounds are whole); anything else would be a mistake in the network.
    if (this.flow.run(this.source, this.sink) !== wanted) throw new Error('The rounding network has no whole flow.');
  }
}

interface Item {
  lot: number;
  exact: Rational;
}

/** A household's items by size of container, the largest first; equal sizes together, and in them the lots of one dish together. */
function sizeClasses(problem: Problem, items: readonly Item[]): { value: Rational; dishes: Item[][] }[] {
  const valueOf = ({ lot }: Item): Rational => problem.value[lot] ?? zero;
  const classes: { value: Rational; dishes: Item[][] }[] = [];
  for (const item of [...items].sort((a, b) => cmp(valueOf(b), valueOf(a)))) {
    const last = classes.at(-1);
    if (!last || !eq(last.value, valueOf(item))) classes.push({ value: valueOf(item), dishes: [[item]] });
    else {
      const same = last.dishes.find(([first]) => first && problem.dishOf[first.lot] === problem.dishOf[item.lot]);
      if (same) same.push(item);
      else last.dishes.push([item]);
    }
  }
  return classes;
}

/** What rounding up costs instead of down: the difference of the squares, (1 - f)^2 - f^2, weighted by the step in size. */
function stepCost(exact: Rational, step: Rational, largest: Rational): number {
  const fraction = sub(exact, rational(floor(exact)));
  const size = isZero(largest) ? zero : div(step, largest);
  return Number(floor(mul(mul(mul(size, size), sub(one, add(fraction, fraction))), rational(deviationCost))));
}

/**
 * Whole containers for each household from the amounts that are to be near (nearestBase of the targets less what is held).
 * Method: the fractional division of every lot is rounded by one whole flow, in which for each household every lot, every dish among containers of
 * one size and every prefix of its lots by size, the largest first, carries the floor or the ceiling of its exact flow. The prefixes
 * are the slots of Shmoys and Tardos (Math. Programming 62, 1993), the levels those of controlled rounding (Cox, J. Amer. Stat. Assoc. 82, 1987).
 * Among such roundings the cheapest by deviation, then by dislikes and scores; equals by the order drawn from the seed.
 * Proof of the bound: let v1 >= v2 >= ... be the sizes, x the exact and n the whole containers, X and N their prefix sums. Then received - exact =
 * sum (n_i - x_i) v_i = sum (N_i - X_i)(v_i - v_(i+1)), with 0 after the last size, and |N_i - X_i| < 1, so it is less than v1 in size,
 * strictly: every household is within less than its largest container. With containers of one size all prefixes are the household's
 * total, so total and every dish are at floor or ceiling at once.
 * `rows`: each household's portions, feasible. Gives counts[household][lot] of the containers that nobody holds; all that somebody eats.
 */
export function roundContainers(problem: Problem, rows: readonly Rational[]): number[][] {
  const parts = partsOf(problem, rows);
  const costed = problem.households.length * problem.lots.length <= mostCosted;
  const network = new RoundingNetwork(costed ? new CostFlow() : uncosted());
  const largest = problem.value.reduce(max, zero);
  const eaten = problem.free.map((count, l) => (problem.eats.some((row) => row[problem.dishOf[l] ?? 0]) ? count : 0));
  const lotNodes = eaten.map((count) => {
    const node = network.flow.addNode();
    network.supply(node, count);
    network.supply(network.end, -count);
    return node;
  });
  const readers = problem.households.map((household, h) => {
    const items = eaten.flatMap((count, lot): Item[] => {
      const exact = mul(rational(BigInt(count)), parts[h]?.[problem.dishOf[lot] ?? 0] ?? zero);
      return isZero(exact) ? [] : [{ lot, exact }];
    });
    const read = new Map<number, () => number>();
    let chain: number | undefined;
    let prefix = zero;
    const classes = sizeClasses(problem, items);
    classes.forEach(({ value, dishes }, k) => {
      const node = network.flow.addNode();
      if (chain !== undefined)
        network.bounded(chain, node, prefix, stepCost(prefix, sub(classes[k - 1]?.value ?? zero, value), largest));
      for (const lots of dishes) {
        const group = lots.length === 1 ? node : network.flow.addNode();
        for (const { lot, exact } of lots) {
          const dish = problem.dishes[problem.dishOf[lot] ?? 0] ?? '';
          const cost = (household.refuses.has(dish) ? dislikeCost : 0) - (household.scores.get(dish) ?? 0);
          read.set(lot, network.bounded(lotNodes[lot] ?? 0, group, exact, cost));
        }
        const together = sum(lots.map(({ exact }) => exact));
        if (group !== node) network.bounded(group, node, together, 0);
        prefix = add(prefix, together);
      }
      chain = node;
    });
    if (chain !== undefined)
      network.bounded(chain, network.end, prefix, stepCost(prefix, classes.at(-1)?.value ?? zero, largest));
    return read;
  });
  network.solve();
  return readers.map((read) => eaten.map((_, lot) => read.get(lot)?.() ?? 0));
}
