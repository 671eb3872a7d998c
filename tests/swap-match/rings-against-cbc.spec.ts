import {
  dayNumber,
  listedRingModel,
  ModelBuilder,
  readSwapMatch,
  ringModel,
  swapMatch,
  swapMatchProved,
  swapProblem,
  tryParseDate,
  verifySwapMatch,
  writeSwapMatch,
} from '@frostmoot/calc';
import type { IntegerModel, SwapMatchInput, SwapOffer, SwapWant } from '@frostmoot/calc';
import { SolverPool } from '@frostmoot/solver';
import { afterAll, describe, expect, it } from '@jest/globals';
import { pairsInstance, swapInstance } from '../builders/swap-instance.ts';
import { cbcStages } from '../solver/cbc.ts';

const pool = new SolverPool({ threads: 1 });
afterAll(() => pool.close());

interface Hop {
  offer: SwapOffer;
  want: SwapWant;
}

const daysOf = (date: string): number => {
  const parsed = tryParseDate(date);
  if (!parsed) throw new Error(`No date: ${date}`);
  return dayNumber(parsed) - dayNumber({ year: 2027, month: 1, day: 1 });
};
const whole = ({ portions }: SwapOffer): number => Number(portions.n);
const sum = (hops: readonly Hop[], of: (hop: Hop) => number): number => hops.reduce((total, hop) => total + of(hop), 0);
const portions = ({ offer }: Hop): number => whole(offer);
const portionDays = ({ offer }: Hop): number => whole(offer) * daysOf(offer.bestBefore);
const score = ({ want }: Hop): number => want.score;

/** Every ring of single containers, by offer and want, begun at each of its households in turn only when that comes first by name. */
function allRings({ offers, wants, excludes }: SwapMatchInput, longest: number): Hop[][] {
  const hops = offers.flatMap((offer) =>
    wants.flatMap((want) => {
      const isOwn = offers.some((other) => other.household === want.household && other.dish === want.dish);
      const goes = offer.dish === want.dish && !isOwn && !excludes.get(want.household)?.has(want.dish);
      return goes && offer.household !== want.household ? [{ offer, want }] : [];
    }),
  );
  const rings: Hop[][] = [];
  const grow = (ring: readonly Hop[]): void => {
    const [first, last] = [ring[0]?.offer.household, ring.at(-1)?.want.household];
    if (first !== undefined && first === last) return void rings.push([...ring]);
    if (ring.length === longest) return;
    for (const hop of hops) {
      const from = hop.offer.household;
      const goesOn =
        first === undefined || (from === last && from > first && !ring.some(({ offer }) => offer.household === from));
      if (goesOn) grow([...ring, hop]);
    }
  };
  grow([]);
  return rings;
}

/** The plainest model of rings, written anew for tests: how often each of them goes round. */
function plainModel(input: SwapMatchInput, rings: readonly Hop[][]): IntegerModel {
  const model = new ModelBuilder();
  const names = rings.map((ring, r) =>
    model.whole(`r${r}`, 0, Math.min(...ring.flatMap(({ offer, want }) => [offer.containers, want.containers]))),
  );
  const terms = (weight: (ring: readonly Hop[]) => number): [string, number][] =>
    rings.map((ring, r) => [names[r] ?? '', weight(ring)]);
  for (const offer of input.offers)
    model.atMost(
      `offer ${offer.id}`,
      terms((ring) => ring.filter((hop) => hop.offer === offer).length),
      offer.containers,
    );
  for (const want of input.wants)
    model.atMost(
      `want ${want.id}`,
      terms((ring) => ring.filter((hop) => hop.want === want).length),
      want.containers,
    );
  const credit = Number(input.creditPortions.n);
  for (const household of new Set(input.offers.map((each) => each.household))) {
    const balance = terms((ring) =>
      sum(
        ring,
        (hop) => (hop.offer.household === household ? 1 : hop.want.household === household ? -1 : 0) * portions(hop),
      ),
    );
    model.between(`balance ${household}`, balance, -credit, credit);
  }
  model.seek(
    'portions',
    'most',
    terms((ring) => sum(ring, portions)),
  );
  model.seek(
    'days',
    'least',
    terms((ring) => sum(ring, portionDays)),
  );
  model.seek(
    'scores',
    'most',
    terms((ring) => sum(ring, score)),
  );
  return model.build();
}

describe('proved rings of two and three, against CBC on a list of them all', () => {
  it.each([
    ['pairs', 30, 2, 1],
    ['pairs', 40, 3, 2],
    ['pairs', 60, 3, 3],
    ['one size', 16, 3, 4],
    ['several sizes', 14, 2, 5],
    ['several sizes', 14, 3, 6],
    ['several sizes', 24, 3, 7],
  ] as const)(
    'are as good for %s, %i offers, rings of at most %i (exchange %i)',
    async (kind, offers, ringLimit, seed) => {
      const sizes = kind === 'one size' ? ['3'] : ['2', '4'];
      const given = {
        ...(kind === 'pairs' ? pairsInstance(seed, offers) : swapInstance(seed, offers, sizes)),
        ringLimit,
      };
      const input = readSwapMatch(given);
      const found = await swapMatchProved(input, pool, { milliseconds: 240_000 });
      expect(found.proof).toBe('optimal');
      const output = writeSwapMatch(found);
      expect(verifySwapMatch(given, output)).toEqual([]);
      const hops = found.moves.flatMap(({ offer, want, containers }) => {
        const of = input.offers.find(({ id }) => id === offer);
        const to = input.wants.find(({ id }) => id === want);
        return of && to ? Array.from({ length: containers }, (): Hop => ({ offer: of, want: to })) : [];
      });
      const best = cbcStages(plainModel(input, allRings(input, ringLimit)))?.values;
      expect(best).toEqual([sum(hops, portions), sum(hops, portionDays), sum(hops, score)]);
      expect(sum(hops, portions)).toBeGreaterThanOrEqual(
        swapMatch(given).moves.reduce((total, { offer, containers }) => {
          const of = input.offers.find(({ id }) => id === offer);
          return total + containers * (of ? whole(of) : NaN);
        }, 0),
      );
      const turned = { ...given, offers: [...given.offers].reverse(), wants: [...given.wants].reverse() };
      const again = await swapMatchProved(readSwapMatch(turned), pool, { milliseconds: 240_000 });
      expect(writeSwapMatch(again)).toEqual(output);
      // Both models say the same, each from its own description of a ring.
      const problem = swapProblem(input);
      const values = await Promise.all(
        [listedRingModel(problem, ringLimit), ringModel(problem, ringLimit)].map(async (model) => {
          const result = model && (await pool.solve(model.model, { milliseconds: 240_000 }));
          return result?.status === 'optimal' ? result.stages.map(({ value }) => value) : undefined;
        }),
      );
      expect(values[0]).toBeDefined();
      expect(values[1]).toEqual(values[0]);
    },
    600_000,
  );
});
