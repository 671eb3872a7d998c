import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { canonicalJson } from '../canonical.ts';
import { explainSwapMatch } from './explain-swap-match.ts';
import type { Ring } from './ring-search.ts';
import { worthOfRings } from './ring-search.ts';
import { readSwapMatch } from './swap-input.ts';
import { findMatch, matchSwaps, swapMatch, writeSwapMatch } from './swap-match.ts';
import type { SwapProblem, SwapWorth } from './swap-problem.ts';
import { compareWorth, swapProblem } from './swap-problem.ts';
import { verifySwapMatch } from './verify-swap-match.ts';

interface Size {
  offers: number;
  wants: number;
  households: number;
  dishes: number;
  containers: number;
  portions: readonly string[];
  ringLimit?: 2 | 3;
}

const inputs = ({ offers, wants, households, dishes, containers, portions, ringLimit }: Size) => {
  const household = fc.integer({ min: 1, max: households }).map((h) => `h${h}`);
  const dish = fc.integer({ min: 1, max: dishes }).map((d) => `d${d}`);
  const count = fc.integer({ min: 1, max: containers });
  const days = fc.constantFrom('2026-12-01', '2026-12-02', '2027-01-15', '2027-03-01');
  const offer = fc.record({
    household,
    dish,
    containers: count,
    portions: fc.constantFrom(...portions),
    bestBefore: days,
  });
  const want = fc.record({ household, dish, containers: count, score: fc.integer({ min: -3, max: 5 }) });
  return fc
    .record({
      seed: fc.constantFrom('s', 't'),
      offers: fc.array(offer, { minLength: Math.min(3, offers), maxLength: offers }),
      wants: fc.array(want, { minLength: Math.min(3, wants), maxLength: wants }),
      excludes: fc.dictionary(household, fc.array(dish, { maxLength: 1 }), { maxKeys: 2 }),
      creditPortions: fc.constantFrom('0', '2', '4', '9/2'),
    })
    .map((input) => ({
      ...input,
      offers: input.offers.map((each, i) => ({ id: `o${i}`, ...each })),
      wants: input.wants.map((each, i) => ({ id: `w${i}`, ...each })),
      ...(ringLimit ? { ringLimit } : {}),
    }));
};

/** The best of all matchings, by trying every number of containers on every pair of offer and want that may go together. */
function bruteForce(problem: SwapProblem): SwapWorth {
  const { givings, gettings, credit, households } = problem;
  const pairs = givings.flatMap((giving, g) =>
    gettings.flatMap((getting, w) => (getting.hubs.includes(giving.hub) ? [{ giving, getting, g, w }] : [])),
  );
  const offered = givings.map(({ containers }) => containers);
  const wanted = gettings.map(({ containers }) => containers);
  const balance = households.map(() => 0);
  let best: SwapWorth = { parts: 0, partDays: 0, score: 0 };
  const visit = (at: number, worth: SwapWorth): void => {
    const pair = pairs[at];
    if (!pair) {
      if (balance.every((parts) => Math.abs(parts) <= credit) && compareWorth(worth, best) > 0) best = worth;
      return;
    }
    const { giving, getting, g, w } = pair;
    const most = Math.min(offered[g] ?? 0, wanted[w] ?? 0);
    for (let n = 0; n <= most; n++) {
      const move = (by: number): void => {
        offered[g] = (offered[g] ?? 0) - by;
        wanted[w] = (wanted[w] ?? 0) - by;
        balance[giving.household] = (balance[giving.household] ?? 0) + by * giving.parts;
        balance[getting.household] = (balance[getting.household] ?? 0) - by * giving.parts;
      };
      move(n);
      visit(at + 1, {
        parts: worth.parts + n * giving.parts,
        partDays: worth.partDays + n * giving.parts * giving.days,
        score: worth.score + n * getting.score,
      });
      move(-n);
    }
  };
  visit(0, best);
  return best;
}

/** The best of all choices of rings, each of single containers, by trying all. */
function bruteForceRings(problem: SwapProblem, limit: 2 | 3): SwapWorth {
  const { givings, gettings, credit, households } = problem;
  const hops = givings.flatMap((giving, g) =>
    gettings.flatMap((getting, w) => {
      const place = getting.hubs.indexOf(giving.hub);
      return place < 0 ? [] : [{ giving: g, getting: w, place }];
    }),
  );
  const from = (hop: (typeof hops)[number]): number => givings[hop.giving]?.household ?? 0;
  const to = (hop: (typeof hops)[number]): number => gettings[hop.getting]?.household ?? 0;
  const all: Ring[] = [];
  const grow = (ring: (typeof hops)[number][]): void => {
    const [first, last] = [ring[0], ring.at(-1)];
    if (first && last && ring.length > 1 && to(last) === from(first)) return void all.push(ring);
    if (ring.length === limit) return;
    for (const hop of hops) {
      const isFirst = first === undefined || last === undefined;
      // Each ring is begun at its smallest household, so that it is met once.
      if (
        isFirst ||
        (from(hop) === to(last) && from(hop) > from(first) && !ring.some((one) => from(one) === from(hop)))
      )
        grow([...ring, hop]);
    }
  };
  grow([]);
  const offered = givings.map(({ containers }) => containers);
  const wanted = gettings.map(({ containers }) => containers);
  const balance = households.map(() => 0);
  let best: SwapWorth = { parts: 0, partDays: 0, score: 0 };
  const visit = (at: number, chosen: Ring[]): void => {
    if (balance.every((parts) => Math.abs(parts) <= credit)) {
      const worth = worthOfRings(problem, chosen);
      if (compareWorth(worth, best) > 0) best = worth;
    }
    for (let next = at; next < all.length; next++) {
      const ring = all[next] ?? [];
      const move = (by: number): void => {
        for (const hop of ring) {
          const parts = by * (givings[hop.giving]?.parts ?? 0);
          offered[hop.giving] = (offered[hop.giving] ?? 0) - by;
          wanted[hop.getting] = (wanted[hop.getting] ?? 0) - by;
          balance[from(hop)] = (balance[from(hop)] ?? 0) + parts;
          balance[to(hop)] = (balance[to(hop)] ?? 0) - parts;
        }
      };
      move(1);
      if (ring.every((hop) => (offered[hop.giving] ?? 0) >= 0 && (wanted[hop.getting] ?? 0) >= 0))
        visit(next, [...chosen, ring]);
      move(-1);
    }
  };
  visit(0, []);
  return best;
}

const small: Size = { offers: 6, wants: 6, households: 4, dishes: 3, containers: 2, portions: ['3'] };
const large: Size = { offers: 40, wants: 40, households: 9, dishes: 6, containers: 3, portions: ['4'] };
const sizes = ['2', '3', '9/2'];

describe('swap-match, always', () => {
  it('is as good as brute force in all three aims when containers have one size', () => {
    const seen = { moved: 0 };
    fc.assert(
      fc.property(inputs(small), (input) => {
        const problem = swapProblem(readSwapMatch(input));
        const { worth, isBest } = findMatch(problem);
        expect(isBest).toBe(true);
        expect(worth).toEqual(bruteForce(problem));
        if (worth.parts > 0) seen.moved++;
      }),
      { numRuns: 4000 },
    );
    expect(seen.moved).toBeGreaterThan(1500);
  });

  it('is never better than brute force, nor brute force beyond its bound, with several sizes or a ring limit', () => {
    const check = (input: unknown, best: (problem: SwapProblem) => SwapWorth): void => {
      const problem = swapProblem(readSwapMatch(input));
      const { worth, isBest, mostParts } = findMatch(problem);
      const ideal = best(problem);
      expect(compareWorth(worth, ideal)).toBeLessThanOrEqual(0);
      expect(ideal.parts).toBeLessThanOrEqual(mostParts);
      if (isBest) expect(worth).toEqual(ideal);
    };
    fc.assert(
      fc.property(inputs({ ...small, portions: sizes }), (input) => check(input, bruteForce)),
      { numRuns: 1000 },
    );
    for (const ringLimit of [2, 3] as const) {
      fc.assert(
        fc.property(
          inputs({ ...small, containers: 1, portions: ringLimit === 2 ? sizes : ['2'], ringLimit }),
          (input) => check(input, (problem) => bruteForceRings(problem, ringLimit)),
        ),
        { numRuns: 500 },
      );
    }
  });

  it.each<[string, Size]>([
    ['one size', large],
    ['several sizes', { ...large, portions: sizes }],
    ['rings of two', { ...large, ringLimit: 2 }],
    ['rings of three and several sizes', { ...large, portions: sizes, ringLimit: 3 }],
  ])('keeps every limit and gives the same bytes whatever the order of the input: %s', (_, size) => {
    fc.assert(
      fc.property(inputs(size), (input) => {
        const read = readSwapMatch(input);
        const result = matchSwaps(read);
        const output = writeSwapMatch(result);
        expect(verifySwapMatch(input, output)).toEqual([]);
        const { rings, onCredit, unmet } = explainSwapMatch(result, read);
        const count = (list: readonly { containers: number }[]): number =>
          list.reduce((sum, one) => sum + one.containers, 0);
        expect(rings.flat().length + onCredit.length).toBe(count(output.moves));
        expect(count(input.wants) - count(output.moves)).toBe(unmet.reduce((sum, { missing }) => sum + missing, 0));
        const turned = { ...input, offers: [...input.offers].reverse(), wants: [...input.wants].reverse() };
        expect(canonicalJson(swapMatch(turned))).toBe(canonicalJson(output));
      }),
      { numRuns: 150 },
    );
  });
});
