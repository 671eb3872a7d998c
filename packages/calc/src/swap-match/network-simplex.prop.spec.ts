import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import type { Price } from './network-simplex.ts';
import { Circulation } from './network-simplex.ts';

interface Arc {
  from: number;
  to: number;
  capacity: number;
  price: Price;
}

const small = fc.integer({ min: -4, max: 4 });
const price: fc.Arbitrary<Price> = fc.oneof(
  fc.tuple(small, small, small),
  fc.tuple(fc.constant(0), small, small),
  fc.tuple(fc.constant(0), fc.constant(0), small),
);
const arcsBetween = (nodes: number, most: number, capacity: number): fc.Arbitrary<Arc[]> => {
  const node = fc.nat(nodes - 1);
  return fc.array(fc.record({ from: node, to: node, capacity: fc.nat(capacity), price }), { maxLength: most });
};

const total = (arcs: readonly Arc[], flow: readonly number[]): number[] =>
  [0, 1, 2].map((i) => arcs.reduce((sum, arc, a) => sum + (flow[a] ?? 0) * (arc.price[i] ?? 0), 0));

const isCirculation = (nodes: number, arcs: readonly Arc[], flow: readonly number[]): boolean =>
  Array.from({ length: nodes }, (_, node) =>
    arcs.reduce((sum, { from, to }, a) => sum + (flow[a] ?? 0) * ((from === node ? 1 : 0) - (to === node ? 1 : 0)), 0),
  ).every((net) => net === 0);

function solved(nodes: number, arcs: readonly Arc[]): number[] {
  const network = new Circulation();
  for (let node = 0; node < nodes; node++) network.addNode();
  const numbers = arcs.map(({ from, to, capacity, price: cost }) => network.addArc(from, to, capacity, cost));
  network.run();
  return numbers.map((arc) => network.flowOn(arc));
}

const less = (a: readonly number[], b: readonly number[]): boolean => {
  const differs = a.findIndex((value, i) => value !== b[i]);
  return differs >= 0 && (a[differs] ?? 0) < (b[differs] ?? 0);
};

describe('Circulation', () => {
  it('finds the cheapest circulation of all, part by part of the price, as brute force does', () => {
    fc.assert(
      fc.property(arcsBetween(4, 7, 2), (arcs) => {
        const flow = solved(4, arcs);
        expect(isCirculation(4, arcs, flow)).toBe(true);
        const within = arcs.every(({ capacity }, a) => (flow[a] ?? 0) >= 0 && (flow[a] ?? 0) <= capacity);
        expect(within).toBe(true);
        let best = [0, 0, 0];
        const tried: number[] = [];
        const visit = (a: number): void => {
          const arc = arcs[a];
          if (!arc) {
            if (isCirculation(4, arcs, tried) && less(total(arcs, tried), best)) best = total(arcs, tried);
            return;
          }
          for (let f = 0; f <= arc.capacity; f++) {
            tried[a] = f;
            visit(a + 1);
          }
        };
        visit(0);
        expect(total(arcs, flow)).toEqual(best);
      }),
      { numRuns: 1500 },
    );
  });

  it('leaves no ring of larger networks that would be cheaper', () => {
    fc.assert(
      fc.property(arcsBetween(12, 80, 9), (arcs) => {
        const flow = solved(12, arcs);
        expect(isCirculation(12, arcs, flow)).toBe(true);
        // Bellman and Ford on what can still change: a further round that finds something nearer means a ring of negative price.
        const steps = arcs.flatMap(({ from, to, capacity, price: cost }, a) => [
          ...((flow[a] ?? 0) < capacity ? [{ from, to, cost }] : []),
          ...((flow[a] ?? 0) > 0 ? [{ from: to, to: from, cost: cost.map((part) => -part) }] : []),
        ]);
        const far = Array.from({ length: 12 }, () => [0, 0, 0]);
        const round = (): boolean =>
          steps
            .map(({ from, to, cost }) => {
              const reach = (far[from] ?? []).map((part, i) => part + (cost[i] ?? 0));
              const isNearer = less(reach, far[to] ?? []);
              if (isNearer) far[to] = reach;
              return isNearer;
            })
            .includes(true);
        for (let i = 0; i < 12; i++) round();
        expect(round()).toBe(false);
      }),
      { numRuns: 500 },
    );
  });
});
