import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { canonicalJson } from '../canonical.ts';
import { abs, add, ceil, cmp, div, floor, mul, parse, rational, sub, sum, zero } from '../rational.ts';
import { shareOut } from './share-out.ts';
import { verifyShareOut } from './verify.ts';

const dishes = ['stew', 'pie', 'soup', 'dumplings', 'bake'];
const some = fc.subarray(dishes, { maxLength: 3 });
const weight = fc.constantFrom('0', '1', '3/2', '2', '5/2', '3', '3.8', '7');
const households = fc.uniqueArray(
  fc.record({
    id: fc.oneof(
      fc.string({ minLength: 1, maxLength: 6, unit: 'grapheme-ascii' }),
      fc.constantFrom('constructor', '__proto__'),
    ),
    weight,
    excludes: some,
    refuses: some,
    scores: fc.dictionary(fc.constantFrom(...dishes), fc.integer({ min: -3, max: 3 })),
    owed: fc.integer({ min: -9, max: 9 }).map((n) => `${n}/3`),
    hold: fc.nat(3),
  }),
  { selector: ({ id }) => id, minLength: 1, maxLength: 7 },
);
const lots = fc.array(
  fc.record({
    dish: fc.constantFrom(...dishes),
    containers: fc.integer({ min: 0, max: 12 }),
    portions: fc.constantFrom(1, 2, 3, 4, 6),
    counts: fc.constantFrom('1', '1', '1', '1/2', '0'),
    containerMl: fc.constantFrom(400, 700, 1500),
  }),
  { maxLength: 7 },
);

/** A valid input; holds are taken from the first lots as far as they go, freezers are given in one case of four. */
const input = fc
  .record({
    seed: fc.string({ minLength: 1, unit: 'grapheme-ascii' }),
    households,
    lots,
    freezers: fc.nat(3),
    window: fc.constantFrom('0', '0', '1', '10'),
  })
  .map(({ seed, households: given, lots: givenLots, freezers, window }) => {
    const named = givenLots.map((lot, i) => ({ ...lot, id: `lot ${i}` }));
    const left = new Map(named.map(({ id, containers }) => [id, containers]));
    const homes = given.map(({ hold, ...household }, h) => {
      const lotId = `lot ${h % Math.max(1, named.length)}`;
      const held = Math.min(hold, left.get(lotId) ?? 0);
      left.set(lotId, (left.get(lotId) ?? 0) - held);
      const freezer = freezers === 0 ? { freezerMl: 3000 * (h + 1) } : {};
      return { ...household, ...freezer, holds: held > 0 ? { [lotId]: held } : {} };
    });
    return { seed, households: homes, lots: named, varietyWindow: window };
  });

describe('share-out, always', () => {
  it('stands up to the verifier: nothing lost, nothing excluded, within one largest container, leximin entitlements', () => {
    fc.assert(
      fc.property(input, (given) => {
        expect(verifyShareOut(given, shareOut(given))).toEqual([]);
      }),
      { numRuns: 600 },
    );
  });

  it('gives the same bytes for the same input in any order', () => {
    fc.assert(
      fc.property(input, fc.nat(50), (given, turn) => {
        const turned = <T>(members: T[]): T[] => [
          ...members.slice(turn % (members.length + 1)),
          ...members.slice(0, turn % (members.length + 1)),
        ];
        const other = {
          lots: turned(given.lots).reverse(),
          seed: given.seed,
          households: turned(given.households).map((household) => ({
            ...household,
            excludes: [...household.excludes].reverse(),
          })),
          varietyWindow: given.varietyWindow,
        };
        expect(canonicalJson(shareOut(other))).toBe(canonicalJson(shareOut(given)));
      }),
      { numRuns: 150 },
    );
  });

  it('gives floor or ceiling in total and of every dish at once when all containers are alike', () => {
    const equal = fc.record({
      weights: fc.array(fc.integer({ min: 1, max: 9 }), { minLength: 1, maxLength: 8 }),
      counts: fc.array(fc.integer({ min: 0, max: 15 }), { minLength: 1, maxLength: 6 }),
      portions: fc.integer({ min: 1, max: 6 }),
      seed: fc.string({ minLength: 1, unit: 'grapheme-ascii' }),
    });
    fc.assert(
      fc.property(equal, ({ weights, counts, portions, seed }) => {
        const all = rational(BigInt(weights.reduce((a, b) => a + b)));
        const output = shareOut({
          seed,
          households: weights.map((w, h) => ({ id: `h${h}`, weight: `${w}` })),
          lots: counts.map((containers, d) => ({ id: `l${d}`, dish: `d${d}`, containers, portions })),
        });
        const near = (count: number, of: number, w: number): void => {
          const part = div(mul(rational(BigInt(of)), rational(BigInt(w))), all);
          expect([floor(part), ceil(part)]).toContain(BigInt(count));
        };
        weights.forEach((w, h) => {
          const mine = output.containers[`h${h}`] ?? {};
          near(
            Object.values(mine).reduce((a, b) => a + b, 0),
            counts.reduce((a, b) => a + b, 0),
            w,
          );
          counts.forEach((of, d) => near(mine[`l${d}`] ?? 0, of, w));
        });
      }),
      { numRuns: 300 },
    );
  });

  it('keeps what anybody is owed below one largest container over 52 rounds', () => {
    const round = fc.array(
      fc.record({
        dish: fc.constantFrom(...dishes),
        containers: fc.integer({ min: 0, max: 9 }),
        portions: fc.constantFrom(2, 3, 4, 6),
      }),
      { minLength: 1, maxLength: 5 },
    );
    const year = fc.record({
      weights: fc.array(weight, { minLength: 2, maxLength: 8 }).filter((all) => all.some((w) => w !== '0')),
      rounds: fc.array(round, { minLength: 52, maxLength: 52, size: 'max' }),
    });
    fc.assert(
      fc.property(year, ({ weights, rounds }) => {
        let owed = weights.map(() => '0');
        rounds.forEach((given, i) => {
          const output = shareOut({
            seed: `round ${i}`,
            households: weights.map((w, h) => ({ id: `h${h}`, weight: w, owed: owed[h] })),
            lots: given.map((lot, l) => ({ ...lot, id: `l${l}` })),
          });
          owed = weights.map((_, h) => output.owedAfter[`h${h}`] ?? '');
          expect(cmp(sum(owed.map(parse)), zero)).toBe(0);
          for (const value of owed) expect(cmp(abs(parse(value)), rational(6n))).toBe(-1);
        });
      }),
      { numRuns: 15 },
    );
  });

  it('agrees with brute force on small cases', () => {
    const tiny = fc.record({
      households: fc.array(
        fc.record({ weight: fc.integer({ min: 1, max: 4 }), excludes: fc.subarray(['stew', 'pie'], { maxLength: 1 }) }),
        {
          minLength: 2,
          maxLength: 3,
        },
      ),
      lots: fc.array(
        fc.record({
          dish: fc.constantFrom('stew', 'pie', 'soup'),
          containers: fc.integer({ min: 0, max: 3 }),
          portions: fc.integer({ min: 1, max: 4 }),
        }),
        { minLength: 1, maxLength: 3 },
      ),
      equal: fc.boolean(),
    });
    fc.assert(
      fc.property(tiny, ({ households: homes, lots: kinds, equal }) => {
        const given = {
          seed: 's',
          households: homes.map((household, h) => ({
            id: `h${h}`,
            weight: `${household.weight}`,
            excludes: household.excludes,
          })),
          lots: kinds.map((kind, l) => ({ ...kind, id: `l${l}`, portions: equal ? 2 : kind.portions })),
        };
        const output = shareOut(given);
        const targets = given.households.map(({ id }) => parse(output.target[id] ?? ''));
        // Every container by itself, every household that may eat it: all divisions there are.
        let totals = [targets.map(() => 0)];
        for (const { dish, containers, portions } of given.lots) {
          for (let c = 0; c < containers; c++) {
            const takers = given.households.flatMap(({ excludes }, h) => (excludes.includes(dish) ? [] : [h]));
            if (takers.length === 0) continue;
            const next = totals.flatMap((row) => takers.map((h) => row.map((n, i) => (i === h ? n + portions : n))));
            totals = [...new Map(next.map((row) => [row.join(), row])).values()];
          }
        }
        const squares = totals.map((row) =>
          row.reduce((total, n, h) => {
            const off = sub(rational(BigInt(n)), targets[h] ?? zero);
            return add(total, mul(off, off));
          }, zero),
        );
        const best = squares.reduce((a, b) => (cmp(a, b) <= 0 ? a : b));
        const ours = parse(output.objective.squaredDeviation);
        expect(cmp(best, ours)).toBeLessThanOrEqual(0);
        // With containers of one size the rounding is the nearest there is.
        if (equal) expect(cmp(best, ours)).toBe(0);
      }),
      { numRuns: 400 },
    );
  });
});
