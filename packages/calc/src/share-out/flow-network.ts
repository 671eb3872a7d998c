/**
 * The greatest flow through a network of exact capacities.
 * Method: blocking flows in layers (Dinic, Soviet Math. Doklady 11, 1970), with whole numbers only, so the flow is whole too. Arcs are tried in
 * the order in which they were added, which makes the result one and the same for the same network.
 */
export class FlowNetwork {
  private readonly arcsOf: number[][];
  private readonly head: number[] = [];
  private readonly room: bigint[] = [];

  constructor(nodes = 0) {
    this.arcsOf = Array.from({ length: nodes }, () => []);
  }

  /** Adds a node and gives its number. */
  addNode(): number {
    return this.arcsOf.push([]) - 1;
  }

  /** Adds an arc that can carry `capacity` forwards, and `back` backwards; gives its number. */
  addArc(from: number, to: number, capacity: bigint, back = 0n): number {
    const arc = this.head.length;
    this.head.push(to, from);
    this.room.push(capacity, back);
    this.arcsOf[from]?.push(arc);
    this.arcsOf[to]?.push(arc + 1);
    return arc;
  }

  /** How much an arc with no capacity backwards at first carries. */
  flowOn(arc: number): bigint {
    return this.room[arc ^ 1] ?? 0n;
  }

  /** Sends as much as possible and gives the amount. */
  run(source: number, sink: number): bigint {
    let total = 0n;
    for (let level = this.levels(source); (level[sink] ?? -1) >= 0; level = this.levels(source)) {
      const tried = this.arcsOf.map(() => 0);
      for (
        let sent = this.advance(source, sink, level, tried);
        sent > 0n;
        sent = this.advance(source, sink, level, tried)
      ) {
        total += sent;
      }
    }
    return total;
  }

  /** The nodes that could still be reached: after run, the source's side of the smallest cut nearest to it. */
  reachable(source: number): boolean[] {
    return this.levels(source).map((level) => level >= 0);
  }

  private levels(source: number): number[] {
    const level = this.arcsOf.map(() => -1);
    level[source] = 0;
    const queue = [source];
    for (const node of queue) {
      for (const arc of this.arcsOf[node] ?? []) {
        const next = this.head[arc] ?? 0;
        if ((this.room[arc] ?? 0n) === 0n || (level[next] ?? 0) >= 0) continue;
        level[next] = (level[node] ?? 0) + 1;
        queue.push(next);
      }
    }
    return level;
  }

  /** One path along the layers, found without recursion because a path may be as long as the network. */
  private advance(source: number, sink: number, level: number[], tried: number[]): bigint {
    const path: number[] = [];
    let node = source;
    while (node !== sink) {
      const arcs = this.arcsOf[node] ?? [];
      const arc = arcs[tried[node] ?? 0];
      if (arc === undefined) {
        const last = path.pop();
        if (last === undefined) return 0n;
        node = this.head[last ^ 1] ?? source;
        tried[node] = (tried[node] ?? 0) + 1;
        continue;
      }
      const next = this.head[arc] ?? 0;
      if ((this.room[arc] ?? 0n) > 0n && level[next] === (level[node] ?? 0) + 1) {
        path.push(arc);
        node = next;
      } else tried[node] = (tried[node] ?? 0) + 1;
    }
    const sent = path.reduce(
      (least, arc) => ((this.room[arc] ?? 0n) < least ? (this.room[arc] ?? 0n) : least),
      this.room[path[0] ?? 0] ?? 0n,
    );
    for (const arc of path) {
      this.room[arc] = (this.room[arc] ?? 0n) - sent;
      this.room[arc ^ 1] = (this.room[arc ^ 1] ?? 0n) + sent;
    }
    return sent;
  }
}
