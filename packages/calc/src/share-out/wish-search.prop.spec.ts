import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import type { Division } from './division.ts';
import { wishNames } from './division.ts';
import { priceBound } from './price-bound.ts';
import type { Counted } from './price-bound.ts';
import { readShareOut } from './share-out-input.ts';
import { draftOf, objectiveOf } from './share-out.ts';
import { searchWishes } from './wish-search.ts';

const dishes = ['d0', 'd1', 'd2'];
const some = fc.subarray(dishes, { maxLength: 2 });

/** Rounds so small that every division can be looked at. */
const smallRound = fc.record({
  seed: fc.string({ minLength: 1, maxLength: 3, unit: 'grapheme-ascii' }),
  varietyWindow: fc.constantFrom('0', '0', '1', '3/2', '4'),
  households: fc
    .array(
      fc.record({
        weight: fc.constantFrom('1', '1', '2', '3', '3/2', '0'),
        owed: fc.constantFrom('0', '0', '1', '-1', '-6', '1/3'),
        excludes: fc.subarray(dishes, { maxLength: 1 }),
        refuses: some,
        scores: fc.dictionary(fc.constantFrom(...dishes), fc.integer({ min: -3, max: 4 }), { maxKeys: 3 }),
      }),
      { minLength: 1, maxLength: 3 },
    )
    .map((members) => members.map((member, h) => ({ ...member, id: `h${h}` }))),
  lots: fc
    .array(
      fc.record({
        dish: fc.constantFrom(...dishes),
        containers: fc.integer({ min: 1, max: 3 }),
        portions: fc.constantFrom('1', '2', '2', '3', '5'),
      }),
      { minLength: 1, maxLength: 4 },
    )
    .map((members) => members.map((member, l) => ({ ...member, id: `l${l}` }))),
});

const divisionOf = (given: unknown): Division => draftOf(readShareOut(given)).division;
const countedOf = ({ holding }: Division): Counted => {
  const { refused, outsideFairShare, score } = objectiveOf(holding);
  return [refused, outsideFairShare, -score];
};
const isBelow = (a: Counted, b: Counted): boolean => {
  const at = a.findIndex((value, i) => value !== b[i]);
  return at >= 0 && (a[at] ?? 0) < (b[at] ?? 0);
};

/** The wishes of every division within the room to differ, told one after another; tried out one by one and left as it was. */
function everyDivision({ holding, room }: Division, visit: (counted: Counted) => void): void {
  const { problem } = holding;
  const count = problem.households.length;
  const now = holding.counts.map((row) => [...row]);
  const units = problem.households.map(() => 0);
  const ofDish = problem.households.map(() => problem.dishes.map(() => 0));
  const rest = now.map((row) => row.reduce((n, m) => n + m, 0)).reduce((a, b) => a + b, 0);
  const add = (h: number, l: number, by: number): void => {
    units[h] = (units[h] ?? 0) + by * (holding.size[l] ?? 0);
    const row = ofDish[h] ?? [];
    row[problem.dishOf[l] ?? 0] = (row[problem.dishOf[l] ?? 0] ?? 0) + by;
  };
  const give = (l: number, h: number, left: number, all: number): void => {
    if (l === problem.lots.length) {
      const isWithin = room.units.every(([least, most], i) => (units[i] ?? 0) >= least && (units[i] ?? 0) <= most);
      if (all !== rest || !isWithin) return;
      let [refused, outside, score] = [0, 0, 0];
      problem.households.forEach(({ refuses, scores }, i) =>
        problem.dishes.forEach((dish, d) => {
          const has = ofDish[i]?.[d] ?? 0;
          const [fewest, most] = holding.fair[i]?.[d] ?? [0, 0];
          if (refuses.has(dish)) refused += has;
          outside += Math.max(0, fewest - has, has - most);
          score += has * (scores.get(dish) ?? 0);
        }),
      );
      return visit([refused, outside, -score]);
    }
    if (h === count) return give(l + 1, 0, problem.lots[l + 1]?.containers ?? 0, all);
    const most = room.mayTake[h]?.[l] ? left : Math.min(left, now[h]?.[l] ?? 0);
    for (let n = 0; n <= most; n++) {
      add(h, l, n);
      give(l, h + 1, left - n, all + n);
      add(h, l, -n);
    }
  };
  give(0, 0, problem.lots[0]?.containers ?? 0, 0);
}

describe('wishes met without a solver', () => {
  it('are what no division within the room to differ betters, as far as they are said to be proved', () => {
    let [shown, tried] = [0, 0];
    fc.assert(
      fc.property(smallRound, (given) => {
        const division = divisionOf(given);
        if (division.proofs.unallotted !== 'shown') return;
        const { proved, bound } = searchWishes(division, () => undefined);
        const found = countedOf(division);
        const others: Counted[] = [];
        everyDivision(division, (counted) => others.push(counted));
        // What was known before was known of the division that was in view then.
        const known = wishNames.filter((stage) => proved.includes(stage));
        tried += 1;
        shown += known.length;
        for (const stage of known) {
          const i = wishNames.indexOf(stage);
          const isBetter = (other: Counted): boolean =>
            other.slice(0, i).every((value, k) => value <= (found[k] ?? 0)) && (other[i] ?? 0) < (found[i] ?? 0);
          expect(others.some(isBetter)).toBe(false);
        }
        if (proved.length === wishNames.length) expect(others.some((other) => isBelow(other, found))).toBe(false);
        if (bound) {
          const i = wishNames.indexOf(bound.stage as (typeof wishNames)[number]);
          for (const other of others)
            if (other.slice(0, i).every((value, k) => value <= (found[k] ?? 0)))
              expect(other[i]).toBeGreaterThanOrEqual(bound.value);
        }
      }),
      { numRuns: 400 },
    );
    expect(shown).toBeGreaterThan(tried / 4);
  });

  it('have bounds that hold for every division, with a variety window and without', () => {
    let near = 0;
    fc.assert(
      fc.property(smallRound, (given) => {
        const division = divisionOf(given);
        if (division.proofs.unallotted !== 'shown') return;
        const values = countedOf(division);
        const others: Counted[] = [];
        everyDivision(division, (counted) => others.push(counted));
        for (const i of wishNames.keys()) {
          const bound = priceBound(division.holding, division.room, i, values);
          const best = others
            .filter((other) => other.slice(0, i).every((value, k) => value <= (values[k] ?? 0)))
            .reduce((least, other) => Math.min(least, other[i] ?? 0), values[i] ?? 0);
          expect(bound).toBeLessThanOrEqual(best);
          if (bound === best) near += 1;
        }
      }),
      { numRuns: 400 },
    );
    expect(near).toBeGreaterThan(800);
  });

  it('have a bound where the window is wider than what a household has', () => {
    // The last household has nothing due, and may have up to four portions too many.
    const division = divisionOf({
      seed: 's',
      varietyWindow: '4',
      households: [
        { id: 'h0', weight: '2', scores: { d0: 2, d1: 1 } },
        { id: 'h1', weight: '3', scores: { d0: 1, d1: 2 } },
        { id: 'h2', weight: '0', scores: { d0: 3, d1: 3 } },
      ],
      lots: [
        { id: 'l0', dish: 'd0', containers: 3, portions: '5' },
        { id: 'l1', dish: 'd1', containers: 4, portions: '3' },
      ],
    });
    expect(division.room.units.some(([least]) => least < 0)).toBe(true);
    const values: Counted = [...countedOf(division)];
    expect(priceBound(division.holding, division.room, 2, values)).toBeGreaterThan(-Infinity);
  });

  it.each([1, 2])('end where %i may divide a dish of many sizes in too many ways to look at', (households) => {
    const division = divisionOf({
      seed: 's',
      households: Array.from({ length: households }, (_, h) => ({ id: `h${h}`, weight: '1', scores: { d0: h } })),
      lots: [2, 3, 5, 7].map((portions, l) => ({ id: `l${l}`, dish: 'd0', containers: 12, portions: `${portions}` })),
    });
    expect(() => searchWishes(division, () => undefined)).not.toThrow();
  });

  it('do not count a stage as proved after one that is not', () => {
    const division = divisionOf({
      seed: 's10',
      households: [
        { id: 'h0', weight: '3', scores: { d0: 3, d2: 3 } },
        { id: 'h1', weight: '2', refuses: ['d1', 'd2'], scores: { d1: 2, d2: 4 } },
        { id: 'h2', weight: '3', scores: { d0: 1, d1: 2, d2: 4 } },
      ],
      lots: [
        { id: 'l0', dish: 'd0', containers: 3, portions: '2' },
        { id: 'l1', dish: 'd1', containers: 2, portions: '2' },
        { id: 'l2', dish: 'd2', containers: 5, portions: '3' },
      ],
    });
    const begun = countedOf(division);
    const { proved } = searchWishes(division, () => undefined);
    const found = countedOf(division);
    expect([division.proofs.outsideFairShare, found[1] > begun[1]]).toEqual(['shown', true]);
    const isKnown = wishNames.map(
      (stage, i) => proved.includes(stage) || (division.proofs[stage] !== 'open' && (found[i] ?? 0) <= (begun[i] ?? 0)),
    );
    expect(isKnown.lastIndexOf(true)).toBeLessThan(isKnown.includes(false) ? isKnown.indexOf(false) : isKnown.length);
  });
});
