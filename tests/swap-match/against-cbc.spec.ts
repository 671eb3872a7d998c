import {
  dayNumber,
  ModelBuilder,
  readSwapMatch,
  swapMatchProved,
  tryParseDate,
  verifySwapMatch,
  writeSwapMatch,
} from '@frostmoot/calc';
import type { IntegerModel, Rational, SwapMatchInput } from '@frostmoot/calc';
import { SolverPool } from '@frostmoot/solver';
import { afterAll, describe, expect, it } from '@jest/globals';
import { swapInstance } from '../builders/swap-instance.ts';
import { cbcStages } from '../solver/cbc.ts';

const pool = new SolverPool({ threads: 1 });
afterAll(() => pool.close());

const daysOf = (date: string): number => {
  const parsed = tryParseDate(date);
  if (!parsed) throw new Error(`No date: ${date}`);
  return dayNumber(parsed) - dayNumber({ year: 2027, month: 1, day: 1 });
};
const whole = (portions: Rational): number => Number(portions.n);

/** The plainest model there is, written anew for tests: how many containers go from each offer to each want. */
function plainModel({ offers, wants, excludes, creditPortions }: SwapMatchInput): IntegerModel {
  const model = new ModelBuilder();
  const moves = offers.flatMap((offer, o) =>
    wants.flatMap((want, w) => {
      const isOwn = offers.some((other) => other.household === want.household && other.dish === want.dish);
      if (offer.dish !== want.dish || isOwn || excludes.get(want.household)?.has(want.dish)) return [];
      const most = Math.min(offer.containers, want.containers);
      return [{ offer, want, name: model.whole(`m${o}_${w}`, 0, most), parts: whole(offer.portions) }];
    }),
  );
  const some = (of: (move: (typeof moves)[number]) => boolean): [string, number][] =>
    moves.filter(of).map(({ name }) => [name, 1]);
  for (const { id, containers } of offers)
    model.atMost(
      `offer ${id}`,
      some(({ offer }) => offer.id === id),
      containers,
    );
  for (const { id, containers } of wants)
    model.atMost(
      `want ${id}`,
      some(({ want }) => want.id === id),
      containers,
    );
  const credit = whole(creditPortions);
  for (const household of new Set([...offers, ...wants].map((each) => each.household))) {
    const gives = moves
      .filter(({ offer }) => offer.household === household)
      .map(({ name, parts }) => [name, parts] as const);
    const gets = moves
      .filter(({ want }) => want.household === household)
      .map(({ name, parts }) => [name, -parts] as const);
    model.between(`balance ${household}`, [...gives, ...gets], -credit, credit);
  }
  model.seek(
    'portions',
    'most',
    moves.map(({ name, parts }) => [name, parts] as const),
  );
  model.seek(
    'days',
    'least',
    moves.map(({ name, parts, offer }) => [name, parts * daysOf(offer.bestBefore)] as const),
  );
  model.seek(
    'scores',
    'most',
    moves.map(({ name, want }) => [name, want.score] as const),
  );
  return model.build();
}

describe('a proved matching of swaps, against CBC on a plain model', () => {
  it.each([
    [20, ['3'], 1],
    [30, ['2', '4'], 2],
    [40, ['2', '3', '4', '6'], 3],
    [40, ['2', '3', '4', '6'], 4],
    [60, ['2', '3', '4', '6'], 5],
  ])(
    'moves as many portions, as soon and as wished for %i offers in sizes of %j (exchange %i)',
    async (offers, sizes, seed) => {
      const given = swapInstance(seed, offers, sizes);
      const input = readSwapMatch(given);
      const found = await swapMatchProved(input, pool, { milliseconds: 60_000 });
      expect(found.proof).toBe('optimal');
      expect(verifySwapMatch(given, writeSwapMatch(found))).toEqual([]);
      const moves = found.moves.map(({ offer, want, containers }) => ({
        containers,
        offer: input.offers.find(({ id }) => id === offer),
        want: input.wants.find(({ id }) => id === want),
      }));
      const total = (worth: (move: (typeof moves)[number]) => number): number =>
        moves.reduce((sum, move) => sum + move.containers * worth(move), 0);
      const parts = (move: (typeof moves)[number]): number => (move.offer ? whole(move.offer.portions) : NaN);
      expect(cbcStages(plainModel(input))?.values).toEqual([
        total(parts),
        total((move) => parts(move) * daysOf(move.offer?.bestBefore ?? '')),
        total(({ want }) => want?.score ?? NaN),
      ]);
    },
  );
});
