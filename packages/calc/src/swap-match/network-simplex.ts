/** A price in order of importance: the second part only matters between equal first ones, and so on. */
export type Price = readonly [number, number, number];

/**
 * The cheapest circulation in a network whose arcs carry from nil to a whole capacity.
 * Method: network simplex (Cunningham, Mathematical Programming 11, 1976) on strongly feasible trees, which cannot cycle, from the circulation of nil, with
 * prices compared part by part, so that one run finds the lexicographic optimum. All numbers are whole, so the flow is whole and the result exact; the sum of
 * a price along a path must stay below 2^53. Equal arcs: the one found first in the order in which they were added.
 */
export class Circulation {
  private readonly tail: number[] = [];
  private readonly head: number[] = [];
  private readonly room: number[] = [];
  private readonly price: [number[], number[], number[]] = [[], [], []];
  private flow: Float64Array = new Float64Array(0);
  private inTree: Uint8Array = new Uint8Array(0);
  private nodes = 0;
  // The tree: for each node its parent, the arc to it, its depth and potentials, and its children as a linked list.
  private parent = new Int32Array(0);
  private parentArc = new Int32Array(0);
  private depth = new Int32Array(0);
  private firstChild = new Int32Array(0);
  private nextSibling = new Int32Array(0);
  private potential: [Float64Array, Float64Array, Float64Array] = [this.flow, this.flow, this.flow];

  addNode(): number {
    return this.nodes++;
  }

  addArc(from: number, to: number, capacity: number, price: Price): number {
    this.price.forEach((part, i) => part.push(price[i] ?? 0));
    this.room.push(capacity);
    this.tail.push(from);
    return this.head.push(to) - 1;
  }

  flowOn(arc: number): number {
    return this.flow[arc] ?? 0;
  }

  run(): void {
    const arcs = this.tail.length;
    this.plant();
    const block = Math.max(20, Math.floor(arcs / 40));
    let at = 0;
    for (let looked = 0; looked < arcs;) {
      let best = -1;
      let bestCost: [number, number, number] = [0, 0, 0];
      for (let i = 0; i < block && looked < arcs; i++, looked++) {
        const cost = this.gain(at);
        if (cost && isLess(cost, bestCost)) [best, bestCost] = [at, cost];
        at = at + 1 === arcs ? 0 : at + 1;
      }
      if (best < 0) continue;
      this.pivot(best);
      looked = 0;
    }
  }

  /** The first tree: every node hangs on a root by an arc towards it that can never carry anything, because nothing leaves the root. */
  private plant(): void {
    const arcs = this.tail.length;
    const root = this.nodes;
    this.flow = new Float64Array(arcs + root);
    this.inTree = new Uint8Array(arcs + root);
    this.parent = new Int32Array(root + 1).fill(-1);
    this.parentArc = new Int32Array(root + 1).fill(-1);
    this.depth = new Int32Array(root + 1);
    this.firstChild = new Int32Array(root + 1).fill(-1);
    this.nextSibling = new Int32Array(root + 1).fill(-1);
    this.potential = [0, 1, 2].map(() => new Float64Array(root + 1)) as typeof this.potential;
    for (let node = 0; node < root; node++) {
      this.inTree[arcs + node] = 1;
      this.hang(node, root, arcs + node);
    }
  }

  private tailOf(arc: number): number {
    return this.tail[arc] ?? arc - this.tail.length;
  }

  private headOf(arc: number): number {
    return this.head[arc] ?? this.nodes;
  }

  private hang(node: number, parent: number, arc: number): void {
    this.parent[node] = parent;
    this.parentArc[node] = arc;
    this.depth[node] = (this.depth[parent] ?? 0) + 1;
    this.nextSibling[node] = this.firstChild[parent] ?? -1;
    this.firstChild[parent] = node;
  }

  private unhang(node: number): void {
    const parent = this.parent[node] ?? -1;
    if (this.firstChild[parent] === node) {
      this.firstChild[parent] = this.nextSibling[node] ?? -1;
      return;
    }
    let before = this.firstChild[parent] ?? -1;
    while (this.nextSibling[before] !== node) before = this.nextSibling[before] ?? -1;
    this.nextSibling[before] = this.nextSibling[node] ?? -1;
  }

  /** What a unit more (or, on a full arc, a unit less) costs; undefined when the arc is in the tree or can carry nothing. */
  private gain(arc: number): [number, number, number] | undefined {
    const room = this.room[arc] ?? 0;
    if (this.inTree[arc] || room === 0) return undefined;
    const cost = this.reducedCost(arc);
    return this.flow[arc] === 0 ? cost : [-cost[0], -cost[1], -cost[2]];
  }

  private reducedCost(arc: number): [number, number, number] {
    const [from, to] = [this.tailOf(arc), this.headOf(arc)];
    const part = (i: 0 | 1 | 2): number =>
      (this.price[i][arc] ?? 0) + (this.potential[i][from] ?? 0) - (this.potential[i][to] ?? 0);
    return [part(0), part(1), part(2)];
  }

  /** How much the tree arc above a node can take in the direction away from the root (down) or towards it. */
  private spare(node: number, down: boolean): number {
    const arc = this.parentArc[node] ?? 0;
    const isUpwards = this.tailOf(arc) === node;
    const flow = this.flow[arc] ?? 0;
    return isUpwards === down ? flow : (this.room[arc] ?? Infinity) - flow;
  }

  private send(node: number, down: boolean, amount: number): void {
    const arc = this.parentArc[node] ?? 0;
    const isUpwards = this.tailOf(arc) === node;
    this.flow[arc] = (this.flow[arc] ?? 0) + (isUpwards === down ? -amount : amount);
  }

  private pivot(entering: number): void {
    const forward = this.flow[entering] === 0;
    const start = forward ? this.tailOf(entering) : this.headOf(entering);
    const end = forward ? this.headOf(entering) : this.tailOf(entering);
    // Around the cycle from its top: down to `start`, over the entering arc, from `end` up again. The last arc that stops the flow leaves the tree.
    let amount = this.room[entering] ?? 0;
    let leaving = -1;
    let onStartSide = false;
    let [a, b] = [start, end];
    while (a !== b) {
      if ((this.depth[a] ?? 0) >= (this.depth[b] ?? 0)) {
        const spare = this.spare(a, true);
        if (spare < amount) [amount, leaving, onStartSide] = [spare, a, true];
        a = this.parent[a] ?? 0;
      } else b = this.parent[b] ?? 0;
    }
    const top = a;
    for (let node = end; node !== top; node = this.parent[node] ?? 0) {
      const spare = this.spare(node, false);
      if (spare <= amount) [amount, leaving, onStartSide] = [spare, node, false];
    }
    if (amount > 0) {
      this.flow[entering] = (this.flow[entering] ?? 0) + (forward ? amount : -amount);
      for (let node = start; node !== top; node = this.parent[node] ?? 0) this.send(node, true, amount);
      for (let node = end; node !== top; node = this.parent[node] ?? 0) this.send(node, false, amount);
    }
    if (leaving >= 0) this.exchange(entering, leaving, onStartSide ? start : end);
  }

  /** Hangs the part of the tree below the leaving arc on the entering one, from `inside`, the end of that which lies in it. */
  private exchange(entering: number, leaving: number, inside: number): void {
    const cost = this.reducedCost(entering);
    const outside = this.tailOf(entering) === inside ? this.headOf(entering) : this.tailOf(entering);
    const sign = this.headOf(entering) === inside ? 1 : -1;
    this.inTree[this.parentArc[leaving] ?? 0] = 0;
    this.inTree[entering] = 1;
    let [node, newParent, newArc] = [inside, outside, entering];
    for (;;) {
      const [oldParent, oldArc] = [this.parent[node] ?? 0, this.parentArc[node] ?? 0];
      this.unhang(node);
      this.hang(node, newParent, newArc);
      if (node === leaving) break;
      [newParent, node, newArc] = [node, oldParent, oldArc];
    }
    const stack = [inside];
    for (let next = stack.pop(); next !== undefined; next = stack.pop()) {
      this.depth[next] = (this.depth[this.parent[next] ?? 0] ?? 0) + 1;
      for (const i of [0, 1, 2] as const) this.potential[i][next] = (this.potential[i][next] ?? 0) + sign * cost[i];
      for (let child = this.firstChild[next] ?? -1; child >= 0; child = this.nextSibling[child] ?? -1)
        stack.push(child);
    }
  }
}

const isLess = (a: Price, b: Price): boolean =>
  a[0] !== b[0] ? a[0] < b[0] : a[1] !== b[1] ? a[1] < b[1] : a[2] < b[2];
