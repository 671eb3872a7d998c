import type { BuyProblem, ProblemSeller } from './buy-problem.ts';
import type { Cover } from './cheapest-cover.ts';
import { CheapestCovers, hasSeller } from './cheapest-cover.ts';
import type { Threshold } from './near-covers.ts';
import type { Plan } from './plan-cost.ts';
import { bitsOf, netOf, planOf, rankStep } from './plan-cost.ts';
import type { ThresholdCase } from './thresholds.ts';
import { boundOfThresholds, reachThresholds } from './thresholds.ts';
import { ToppingsUp } from './topping-up.ts';
import { NetsOfNeeds } from './weighed-net.ts';

/** What is settled about the sellers: some may not be bought from, some are, and of those some for so much that they bring it for nothing. */
interface Settled {
  readonly closed: number;
  readonly open: number;
  readonly free: number;
  /** no plan with this settled has a lower rank */
  readonly bound: bigint;
  /** the bound counts in what reaching the thresholds costs */
  readonly isWeighed: boolean;
}

/** The best plan and, where it could not be proved to be the best, a net that no plan is under (in the problem's scale). */
export interface SearchResult {
  readonly plan: Plan;
  readonly bound?: bigint;
}

/** How many points may be looked at before the search ends with what it has: some seconds. */
const mostWork = 30_000_000;
const mostSteps = 20_000;

class SellerSearch {
  private readonly problem: BuyProblem;
  private readonly covers: CheapestCovers;
  private readonly toppings: ToppingsUp;
  private readonly nets: NetsOfNeeds;
  private readonly all: number;
  /** by rising bound */
  private readonly waiting: Settled[] = [];
  private readonly off: number[] = [];
  private best: Plan | undefined;
  private unresolved: bigint | undefined;

  constructor(problem: BuyProblem) {
    this.problem = problem;
    this.covers = new CheapestCovers(problem);
    this.toppings = new ToppingsUp(problem);
    this.nets = new NetsOfNeeds(problem);
    this.all = problem.sellers.reduce((set, _, seller) => (this.canReach(seller) ? set | (1 << seller) : set), 0);
  }

  /** Whether a seller's minimum order can be reached at all. Where it can, any plan can be topped up until it is. */
  private canReach(seller: number): boolean {
    const { minimumOrder = 0 } = this.problem.sellers[seller] ?? {};
    const most = this.problem.ingredients.reduce(
      (sum, { options }) =>
        options.reduce(
          (all, option) => (option.seller === seller && option.price > 0 ? all + option.price * option.most : all),
          sum,
        ),
      0,
    );
    return most >= minimumOrder;
  }

  run(): SearchResult | undefined {
    this.wait(0, 0, 0);
    for (let step = 0; this.waiting.length > 0; step += 1) {
      const next = this.waiting[0] as Settled;
      if (this.best && next.bound >= this.best.rank) break;
      if (step >= mostSteps || this.covers.work > mostWork) {
        this.leaveOpen(next.bound);
        break;
      }
      this.waiting.shift();
      this.settle(next);
    }
    if (!this.best) return undefined;
    const isProved = this.unresolved === undefined || this.unresolved >= this.best.rank;
    return isProved ? { plan: this.best } : { plan: this.best, bound: this.netOfRank(this.unresolved ?? 0n) };
  }

  private netOfRank(rank: bigint): bigint {
    const net = rank / rankStep;
    return rank < 0n && net * rankStep !== rank ? net - 1n : net;
  }

  private leaveOpen(bound: bigint): void {
    if (this.unresolved === undefined || bound < this.unresolved) this.unresolved = bound;
  }

  private consider(plan: Plan | undefined): void {
    if (plan?.isAllowed && (!this.best || plan.rank < this.best.rank)) this.best = plan;
  }

  /** The fees and the count of the sellers that are settled on, as a rank. */
  private settledRank(open: number, free: number): bigint {
    const fees = this.problem.sellers.reduce(
      (sum, { fee }, seller) => (hasSeller(open & ~free, seller) ? sum + fee : sum),
      0,
    );
    return BigInt(fees) * this.problem.scale * rankStep + BigInt(bitsOf(open));
  }

  private cheapestFrom(allowed: number): Cover[] | undefined {
    const covers: Cover[] = [];
    for (let index = 0; index < this.problem.ingredients.length; index += 1) {
      const cover = this.covers.of(index, allowed);
      if (!cover) return undefined;
      covers.push(cover);
    }
    return covers;
  }

  private wait(closed: number, open: number, free: number, atLeast?: bigint): void {
    const covers = this.cheapestFrom(this.all & ~closed);
    if (!covers) return;
    const own = netOf(this.problem, covers) * rankStep + this.settledRank(open, free);
    this.insert({
      closed,
      open,
      free,
      bound: atLeast !== undefined && atLeast > own ? atLeast : own,
      isWeighed: false,
    });
  }

  private insert(settled: Settled): void {
    if (this.best && settled.bound >= this.best.rank) return;
    let [low, high] = [0, this.waiting.length];
    while (low < high) {
      const middle = Math.floor((low + high) / 2);
      if ((this.waiting[middle]?.bound ?? 0n) <= settled.bound) low = middle + 1;
      else high = middle;
    }
    this.waiting.splice(low, 0, settled);
  }

  private settle(settled: Settled): void {
    const { closed, open, free } = settled;
    const covers = this.cheapestFrom(this.all & ~closed);
    if (!covers) return;
    const plan = planOf(this.problem, covers);
    this.consider(this.toppings.allowed(plan));
    if (plan.isAllowed && plan.rank <= settled.bound) return;
    const below = this.thresholdsOf(open, free).filter(({ seller, goods }) => (plan.goods[seller] ?? 0) < goods);
    if (below.length > 0 && !settled.isWeighed) return this.weigh(settled, below);
    if ((plan.used & ~open) !== 0) return this.branch(settled, plan);
    // Where nothing is missing, the plan costs what is settled or less.
    if (below.length > 0) this.settleThresholds(settled, below);
  }

  private caseOf(closed: number, thresholds: readonly Threshold[]): ThresholdCase {
    const { problem, covers, toppings, nets, off } = this;
    return { problem, covers, toppings, nets, allowed: this.all & ~closed, thresholds, off };
  }

  /** Of equal nets only one from fewer sellers is of interest. */
  private limitFor(rank: bigint): bigint {
    return this.best ? this.netOfRank(this.best.rank - 1n - rank) : this.problem.greatest * 4n;
  }

  /** Puts back what is settled with a bound that counts in the thresholds, so that what is cheaper comes first. */
  private weigh(settled: Settled, below: readonly Threshold[]): void {
    const rank = this.settledRank(settled.open, settled.free);
    const net = boundOfThresholds(this.caseOf(settled.closed, below), this.limitFor(rank));
    if (net === undefined) return;
    const bound = net * rankStep + rank;
    this.insert({ ...settled, bound: bound > settled.bound ? bound : settled.bound, isWeighed: true });
  }

  private thresholdsOf(open: number, free: number): Threshold[] {
    return this.problem.sellers.flatMap(({ minimumOrder, freeFrom = 0 }, seller) => {
      const goods = Math.max(minimumOrder, hasSeller(free, seller) ? freeFrom : 0);
      return hasSeller(open, seller) && goods > 0 ? [{ seller, goods }] : [];
    });
  }

  /** The cheapest covers that reach the thresholds of the sellers settled on; more thresholds come in as they turn out to be missed. */
  private settleThresholds(settled: Settled, below: readonly Threshold[]): void {
    const { closed, open, free } = settled;
    const rank = this.settledRank(open, free);
    const all = this.thresholdsOf(open, free);
    let thresholds = below;
    for (;;) {
      const result = reachThresholds(this.caseOf(closed, thresholds), this.limitFor(rank));
      if (result.kind === 'none') return;
      if (result.kind === 'unresolved') {
        if (result.covers) this.consider(planOf(this.problem, result.covers));
        return this.leaveOpen(result.bound * rankStep + rank);
      }
      const { problem } = this;
      const plan = planOf(problem, result.covers);
      this.consider(plan);
      const missed = all.filter(({ seller, goods }) => (plan.goods[seller] ?? 0) < goods);
      if (missed.length > 0) {
        thresholds = [...thresholds, ...missed].sort((a, b) => a.seller - b.seller);
        continue;
      }
      const bound = netOf(problem, result.covers) * rankStep + rank;
      if ((plan.used & ~open) !== 0) this.branch({ ...settled, bound }, plan);
      return;
    }
  }

  /** Settles one seller that a plan buys from and that is open to question: the one with the greatest fee, of equals the first. */
  private branch({ closed, open, free, bound }: Settled, plan: Plan): void {
    const sellers = this.problem.sellers.flatMap((seller, at) =>
      hasSeller(plan.used & ~open, at) ? [{ ...seller, at }] : [],
    );
    const chosen = sellers.reduce((a, b) => (weightOf(b) > weightOf(a) ? b : a));
    const bit = 1 << chosen.at;
    this.wait(closed, open | bit, free, bound);
    if (chosen.fee > 0 && chosen.freeFrom !== undefined) this.wait(closed, open | bit, free | bit, bound);
    this.wait(closed | bit, open, free, bound);
  }
}

const weightOf = ({ fee, minimumOrder }: ProblemSeller): number => fee + minimumOrder;

/**
 * The plan of the least net, and of equal nets the one from the fewest sellers.
 * Method: branch and bound over what is settled about each seller (not bought from; bought from; bought from for so much that delivery is free), best
 * bound first (Land and Doig, Econometrica 1960). With the sellers settled the needs are covered one by one (CheapestCovers), but where a
 * threshold binds (reachThresholds). Undefined when no plan is allowed, which is so only when minimum orders cannot be reached. Throws TooManyCovers.
 */
export const searchPlan = (problem: BuyProblem): SearchResult | undefined => new SellerSearch(problem).run();
