import type { SwapFlow, SwapProblem } from './swap-problem.ts';

/** Rings of more steps than this are not exchanged; it keeps the prices of rings exact. */
const longestRing = 64;

/** Rings that cannot be carried out, after each of which one step is set aside, before the search ends. */
const mostVain = 60;

/** A price in one number: so much weight on parts and days that no ring of at most longestRing steps lets a later aim outweigh an earlier one. */
function weightsOf({ givings, gettings }: SwapProblem): { parts: number; partDays: number } {
  const most = (values: readonly number[]): number => values.reduce((a, b) => Math.max(a, Math.abs(b)), 1);
  const partDays = 2 * longestRing * most(gettings.map(({ score }) => score)) + 1;
  const parts = partDays * (2 * longestRing * most(givings.map((giving) => giving.parts * giving.days)) + 1);
  const greatest = parts * longestRing * most(givings.map((giving) => giving.parts));
  // Beyond what a number holds exactly only the first aim is followed.
  return Number.isSafeInteger(greatest) ? { parts, partDays } : { parts: 1, partDays: 0 };
}

/**
 * A matching that gets better by exchanges along rings of households, through dishes and, where their credit allows it, through a pool. A household that takes a
 * container and puts one in may take a smaller or larger one as long as its balance stays within the credit.
 * Method: rings of negative price by label correction (Bellman 1958) over dishes and pairs of household and size last taken. Steps have numbers: each offer has
 * one for giving and one for taking back, each want and size one for getting and one for giving up again.
 */
export class Exchange {
  readonly flow: SwapFlow;
  private readonly problem: SwapProblem;
  private readonly balance: Float64Array;
  private readonly gotInAll: Int32Array;
  private readonly sizes: readonly number[];
  // Of each step: household, hub, offer or want, place of the hub in the want's list (-1 for an offer), price.
  private readonly household: number[] = [];
  private readonly hub: number[] = [];
  private readonly index: number[] = [];
  private readonly place: number[] = [];
  private readonly price: number[] = [];
  /** steps that take a container out of a hub, and steps by which a household puts one in */
  private readonly takes: number[][];
  private readonly puts: number[][];
  private readonly isAside: Uint8Array;
  private readonly far: Float64Array;
  private readonly viaNode: Int32Array;
  /** the step by which a node was reached, and with a change of size the one before it */
  private readonly viaStep: Int32Array;
  private readonly viaFirst: Int32Array;

  constructor(problem: SwapProblem, flow: SwapFlow) {
    const { households, hubs, givings, gettings } = problem;
    this.problem = problem;
    this.flow = flow;
    this.balance = new Float64Array(households.length);
    this.gotInAll = Int32Array.from(flow.got, (counts) => counts.reduce((a, b) => a + b, 0));
    this.sizes = [...new Set(hubs.map(({ parts }) => parts))].sort((a, b) => a - b);
    this.takes = hubs.map(() => []);
    this.puts = households.map(() => []);
    const weights = weightsOf(problem);
    givings.forEach(({ household, hub, parts, days }, g) => {
      this.addSteps(household, hub, g, -1, parts * (days * weights.partDays - weights.parts));
      this.balance[household] = (this.balance[household] ?? 0) + parts * (flow.given[g] ?? 0);
    });
    gettings.forEach(({ household, hubs: from, score }, g) =>
      from.forEach((hub, place) => {
        this.addSteps(household, hub, g, place, weights.partDays === 0 ? 0 : score);
        const parts = this.partsOf(hub) * (flow.got[g]?.[place] ?? 0);
        this.balance[household] = (this.balance[household] ?? 0) - parts;
      }),
    );
    const nodes = 1 + hubs.length + households.length * this.sizes.length;
    this.isAside = new Uint8Array(this.price.length);
    this.far = new Float64Array(nodes);
    this.viaNode = new Int32Array(nodes);
    this.viaStep = new Int32Array(nodes);
    this.viaFirst = new Int32Array(nodes);
  }

  /** Exchanges until no ring is found that makes the matching better, or so many rounds are over. */
  run(rounds: number): void {
    let vain = 0;
    for (let round = 0; round < rounds && vain < mostVain; round++) {
      const rings = this.search();
      if (rings.length === 0) return;
      let done = 0;
      for (const ring of rings) while (this.exchange(ring)) done++;
      if (done > 0) {
        if (vain > 0) this.isAside.fill(0);
        vain = 0;
        continue;
      }
      vain++;
      for (const ring of rings) this.isAside[ring[vain % ring.length] ?? 0] = 1;
    }
  }

  private addSteps(household: number, hub: number, index: number, place: number, priceIn: number): void {
    const put = this.price.length;
    this.household.push(household, household);
    this.hub.push(hub, hub);
    this.index.push(index, index);
    this.place.push(place, place);
    this.price.push(priceIn, -priceIn);
    this.puts[household]?.push(put);
    this.takes[hub]?.push(put + 1);
  }

  private partsOf(hub: number): number {
    return this.problem.hubs[hub]?.parts ?? 0;
  }

  private isWithin(balance: number): boolean {
    return balance <= this.problem.credit && -balance <= this.problem.credit;
  }

  private canDo(step: number): boolean {
    const [index, place, isPut] = [this.index[step] ?? 0, this.place[step] ?? 0, step % 2 === 0];
    if (this.isAside[step]) return false;
    if (place >= 0) {
      if (isPut) return (this.flow.got[index]?.[place] ?? 0) > 0;
      return (this.gotInAll[index] ?? 0) < (this.problem.gettings[index]?.containers ?? 0);
    }
    const given = this.flow.given[index] ?? 0;
    return isPut ? given < (this.problem.givings[index]?.containers ?? 0) : given > 0;
  }

  private perform(step: number, times: 1 | -1): void {
    const [household, index, place] = [this.household[step] ?? 0, this.index[step] ?? 0, this.place[step] ?? 0];
    const more = step % 2 === 0 ? times : -times;
    this.balance[household] = (this.balance[household] ?? 0) + more * this.partsOf(this.hub[step] ?? 0);
    if (place < 0) {
      this.flow.given[index] = (this.flow.given[index] ?? 0) + more;
      return;
    }
    const got = this.flow.got[index];
    if (got) got[place] = (got[place] ?? 0) - more;
    this.gotInAll[index] = (this.gotInAll[index] ?? 0) - more;
  }

  /** The first rings that label correction closes; none when there is no ring of negative price. */
  private search(): number[][] {
    this.far.fill(0);
    this.viaNode.fill(-1);
    const takes = this.takes.map((steps) => steps.filter((step) => this.canDo(step) || this.isFullWant(step)));
    const puts = this.puts.map((steps) => steps.filter((step) => this.canDo(step)));
    for (let pass = 1; pass <= this.far.length; pass++) {
      if (!this.relaxAll(takes, puts)) return [];
      const rings = pass % 2 === 0 ? this.rings() : [];
      if (rings.length > 0) return rings;
    }
    return [];
  }

  private isFullWant(step: number): boolean {
    const index = this.index[step] ?? 0;
    return (this.place[step] ?? 0) >= 0 && (this.flow.got[index]?.length ?? 0) > 1 && (this.gotInAll[index] ?? 0) > 0;
  }

  private relax(from: number, to: number, step: number, price: number, first = -1): boolean {
    const reach = (this.far[from] ?? 0) + price;
    if (reach >= (this.far[to] ?? 0)) return false;
    this.far[to] = reach;
    this.viaNode[to] = from;
    this.viaStep[to] = step;
    this.viaFirst[to] = first;
    return true;
  }

  private relaxAll(takes: readonly (readonly number[])[], puts: readonly (readonly number[])[]): boolean {
    const hubs = this.problem.hubs.length;
    const sizes = this.sizes.length;
    let changed = false;
    for (let hub = 0; hub < hubs; hub++) {
      const size = this.sizes.indexOf(this.partsOf(hub));
      for (const step of takes[hub] ?? []) {
        if (!this.canDo(step)) {
          if (this.changeSize(step)) changed = true;
          continue;
        }
        const state = 1 + hubs + (this.household[step] ?? 0) * sizes + size;
        if (this.relax(1 + hub, state, step, this.price[step] ?? 0)) changed = true;
      }
    }
    for (let h = 0; h < puts.length; h++) {
      const balance = this.balance[h] ?? 0;
      for (let s = -1; s < sizes; s++) {
        const state = s < 0 ? 0 : 1 + hubs + h * sizes + s;
        if (s >= 0 && this.viaNode[state] === -1) continue;
        const before = balance - (s < 0 ? 0 : (this.sizes[s] ?? 0));
        for (const step of puts[h] ?? []) {
          const hub = this.hub[step] ?? 0;
          if (!this.isWithin(before + this.partsOf(hub))) continue;
          if (this.relax(state, 1 + hub, step, this.price[step] ?? 0)) changed = true;
        }
        if (s >= 0 && this.isWithin(before) && this.relax(state, 0, -1, 0)) changed = true;
      }
    }
    return changed;
  }

  /** A want that is met in full can take a container of another size in place of one that it has. */
  private changeSize(take: number): boolean {
    let changed = false;
    const want = this.index[take] ?? 0;
    const place = this.place[take] ?? 0;
    const fromHub = this.hub[take] ?? 0;
    const got = this.flow.got[want];
    const hubs = this.problem.gettings[want]?.hubs ?? [];
    const before = (this.balance[this.household[take] ?? 0] ?? 0) - this.partsOf(fromHub);
    for (let other = 0; other < hubs.length; other++) {
      if (other === place || !(got?.[other] ?? 0)) continue;
      const hub = hubs[other] ?? 0;
      if (!this.isWithin(before + this.partsOf(hub))) continue;
      const put = take - 1 + 2 * (other - place);
      if (this.relax(1 + fromHub, 1 + hub, take, 0, put)) changed = true;
    }
    return changed;
  }

  /** The rings among the steps by which nodes were last reached; they share no node. */
  private rings(): number[][] {
    const mark = new Int32Array(this.far.length);
    const rings: number[][] = [];
    for (let start = 0; start < mark.length; start++) {
      let node = start;
      while (mark[node] === 0 && (this.viaNode[node] ?? -1) >= 0) {
        mark[node] = start + 1;
        node = this.viaNode[node] ?? 0;
      }
      if (mark[node] !== start + 1) continue;
      const ring: number[] = [];
      let at = node;
      do {
        if ((this.viaStep[at] ?? -1) >= 0) ring.push(this.viaStep[at] ?? 0);
        if ((this.viaStep[at] ?? -1) >= 0 && (this.viaFirst[at] ?? -1) >= 0) ring.push(this.viaFirst[at] ?? 0);
        mark[at] = -1;
        at = this.viaNode[at] ?? 0;
      } while (at !== node);
      if (ring.length <= longestRing) rings.push(ring);
    }
    return rings;
  }

  /** Carries a ring out once, if everything in it can be done together. */
  private exchange(ring: readonly number[]): boolean {
    const done: number[] = [];
    // A want gives up first what it has, so that it has room for what comes.
    const order = [...ring].sort((a, b) => (a % 2) - (b % 2));
    const sound = order.every((step) => {
      if (!this.canDo(step)) return false;
      this.perform(step, 1);
      done.push(step);
      return true;
    });
    if (sound && ring.every((step) => this.isWithin(this.balance[this.household[step] ?? 0] ?? 0))) return true;
    for (const step of done.reverse()) this.perform(step, -1);
    return false;
  }
}
