/**
 * The cheapest of the greatest flows through a network of small whole capacities.
 * Method: successive cheapest paths (Busacker and Gowen 1961; paths by label correction, because costs may be negative at first). The network
 * given must have no cycle of negative cost. Costs are whole numbers whose sum along a path stays below 2^53. Equal paths: the one found
 * first in the order in which the arcs were added.
 */
export class CostFlow {
  private readonly head: number[] = [];
  private readonly room: number[] = [];
  private readonly cost: number[] = [];
  private readonly arcsOf: number[][] = [];

  addNode(): number {
    return this.arcsOf.push([]) - 1;
  }

  addArc(from: number, to: number, capacity: number, cost: number): number {
    const arc = this.head.length;
    this.head.push(to, from);
    this.room.push(capacity, 0);
    this.cost.push(cost, -cost);
    this.arcsOf[from]?.push(arc);
    this.arcsOf[to]?.push(arc + 1);
    return arc;
  }

  flowOn(arc: number): number {
    return this.room[arc ^ 1] ?? 0;
  }

  run(source: number, sink: number): number {
    let total = 0;
    for (let path = this.cheapest(source, sink); path; path = this.cheapest(source, sink)) {
      const sent = path.reduce((least, arc) => Math.min(least, this.room[arc] ?? 0), Number.MAX_SAFE_INTEGER);
      for (const arc of path) {
        this.room[arc] = (this.room[arc] ?? 0) - sent;
        this.room[arc ^ 1] = (this.room[arc ^ 1] ?? 0) + sent;
      }
      total += sent;
    }
    return total;
  }

  private cheapest(source: number, sink: number): number[] | undefined {
    const far = this.arcsOf.map(() => Number.MAX_SAFE_INTEGER);
    const via = this.arcsOf.map(() => -1);
    const waiting = this.arcsOf.map(() => false);
    far[source] = 0;
    const queue = [source];
    for (const node of queue) {
      waiting[node] = false;
      const here = far[node] ?? 0;
      for (const arc of this.arcsOf[node] ?? []) {
        const next = this.head[arc] ?? 0;
        const there = here + (this.cost[arc] ?? 0);
        if ((this.room[arc] ?? 0) === 0 || there >= (far[next] ?? 0)) continue;
        far[next] = there;
        via[next] = arc;
        if (waiting[next]) continue;
        waiting[next] = true;
        queue.push(next);
      }
    }
    if (via[sink] === -1) return undefined;
    const path: number[] = [];
    for (let node = sink; node !== source; node = this.head[(via[node] ?? 0) ^ 1] ?? source) path.push(via[node] ?? 0);
    return path;
  }
}
