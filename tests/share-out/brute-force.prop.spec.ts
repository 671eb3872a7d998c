import { rational, readShareOut, shareOutProved, verifyShareOut, writeShareOut } from '@frostmoot/calc';
import type { Rational, ShareOutInput } from '@frostmoot/calc';
import { SolverPool } from '@frostmoot/solver';
import { afterAll, describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import type { Objective } from './objective.ts';
import { compare, evaluator } from './objective.ts';

const { abs, cmp, max, mul, parse, zero } = rational;
const pool = new SolverPool({ threads: 1 });
afterAll(() => pool.close());

const dishes = ['stew', 'pie', 'soup'];
const some = fc.subarray(dishes, { maxLength: 1 });

/** Rounds so small that every division can be looked at. */
const smallRound = fc
  .record({
    seed: fc.string({ minLength: 1, maxLength: 3, unit: 'grapheme-ascii' }),
    households: fc.array(
      fc.record({
        weight: fc.constantFrom('1', '1', '3/2', '2', '3', '7/3', '0'),
        owed: fc.constantFrom('0', '0', '1/3', '-1', '2', '-5/2', '1234567/1000000', '-6'),
        excludes: some,
        refuses: some,
        scores: fc.dictionary(fc.constantFrom(...dishes), fc.integer({ min: -2, max: 2 }), { maxKeys: 2 }),
        freezer: fc.constantFrom(null, null, 1200, 2500),
        holds: fc.nat({ max: 3 }),
      }),
      { minLength: 1, maxLength: 4 },
    ),
    lots: fc.array(
      fc.record({
        dish: fc.constantFrom(...dishes),
        containers: fc.integer({ min: 0, max: 4 }),
        portions: fc.constantFrom('1', '2', '3', '4', '6', '5/2'),
        counts: fc.constantFrom('1', '1', '1', '1/2', '0'),
        containerMl: fc.constantFrom(400, 700, 1000),
      }),
      { minLength: 1, maxLength: 3 },
    ),
    withFreezers: fc.integer({ min: 0, max: 3 }),
  })
  .map(({ seed, households, lots, withFreezers }) => {
    const left = lots.map(({ containers }) => containers);
    return {
      seed,
      households: households.map(({ freezer, holds, ...household }, h) => {
        const l = h % lots.length;
        const held = holds === 3 && (left[l] ?? 0) > 0 ? 1 : 0;
        left[l] = (left[l] ?? 0) - held;
        const limit = withFreezers === 0 && freezer !== null ? { freezerMl: freezer } : {};
        return { ...household, id: `h${h}`, holds: held ? { [`l${l}`]: held } : {}, ...limit };
      }),
      lots: lots.map((lot, l) => ({ ...lot, id: `l${l}` })),
    };
  });

/** All ways to give up to `count` containers to the households, what is left last. */
function waysToGive(count: number, households: number): number[][] {
  if (households === 0) return [[count]];
  return Array.from({ length: count + 1 }, (_, n) =>
    waysToGive(count - n, households - 1).map((rest) => [n, ...rest]),
  ).flat();
}

/** The best objective over all divisions that are allowed, in general and among those in which nobody is a largest container away from the target. */
function bestOf(input: ShareOutInput, target: readonly Rational[]): { best: Objective; within: Objective | undefined } {
  const { households, lots } = input;
  const worth = lots.map(({ portions, counts }) => mul(portions, counts));
  const largest = lots.reduce((most, { containers }, l) => (containers > 0 ? max(most, worth[l] ?? zero) : most), zero);
  const ways = lots.map(({ id, dish, containers }) =>
    waysToGive(containers, households.length).filter((way) =>
      households.every(({ excludes, holds }, h) => {
        const held = holds.get(id) ?? 0;
        return (way[h] ?? 0) >= held && (!excludes.has(dish) || (way[h] ?? 0) === held);
      }),
    ),
  );
  const evaluate = evaluator(input, target);
  let best: Objective | undefined;
  let within: Objective | undefined;
  const look = (l: number, given: number[][]): void => {
    const next = ways[l];
    if (next) {
      for (const way of next) look(l + 1, [...given, way]);
      return;
    }
    const count = (h: number, lot: number): number => given[lot]?.[h] ?? 0;
    const fits = households.every(({ freezerMl, holds }, h) => {
      if (freezerMl === undefined) return true;
      const ml = (of: (lot: number) => number): number =>
        lots.reduce((n, lot, i) => n + (lot.containerMl ?? 0) * of(i), 0);
      return (
        ml((i) => count(h, i)) <=
        Math.max(
          freezerMl,
          ml((i) => holds.get(lots[i]?.id ?? '') ?? 0),
        )
      );
    });
    if (!fits) return;
    const { objective: found, off } = evaluate(count);
    if (!best || compare(found, best) < 0) best = found;
    const isWithin = off.every((value) => cmp(value, zero) === 0 || cmp(abs(value), largest) < 0);
    if (isWithin && (!within || compare(found, within) < 0)) within = found;
  };
  look(0, []);
  if (!best) throw new Error('There is no division at all.');
  return { best, within };
}

describe('a proved share-out, against all divisions', () => {
  it('has the best objective of all divisions, stage by stage', async () => {
    const how = new Map<string, number>();
    await fc.assert(
      fc.asyncProperty(smallRound, async (given) => {
        const input = readShareOut(given);
        const result = await shareOutProved(input, pool, { milliseconds: 20_000 });
        const output = writeShareOut(result);
        expect(verifyShareOut(given, output)).toEqual([]);
        expect(output.proof).toBe('optimal');
        for (const { stage, proof } of output.stages ?? [])
          how.set(`${stage} ${proof}`, (how.get(`${stage} ${proof}`) ?? 0) + 1);
        const target = input.households.map(({ id }) => parse(output.target[id] ?? '0'));
        const { best, within } = bestOf(input, target);
        const { unallotted, squaredDeviation, refused, outsideFairShare, score } = result.objective;
        const ours: Objective = { unallotted, squares: squaredDeviation, refused, outside: outsideFairShare, score };
        // Where the guarantee holds it comes before the squares.
        expect(compare(ours, best) === 0 || (within !== undefined && compare(ours, within) === 0)).toBe(true);
      }),
      { numRuns: 2500 },
    );
    // Every kind of proof has been put to the test, the bounds and the searches.
    for (const stage of ['unallotted', 'squaredDeviation', 'refused', 'outsideFairShare']) {
      expect(how.get(`${stage} shown`)).toBeGreaterThan(0);
      expect(how.get(`${stage} searched`)).toBeGreaterThan(0);
    }
  });
});
