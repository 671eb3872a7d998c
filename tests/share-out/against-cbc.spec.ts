import { rational, readShareOut, shareOutProved } from '@frostmoot/calc';
import { SolverPool } from '@frostmoot/solver';
import { afterAll, describe, expect, it } from '@jest/globals';
import { shareOutInstance } from '../builders/share-out-instance.ts';
import { cbcStages } from '../solver/cbc.ts';
import { plainModel } from './share-out-model.ts';

const { format, zero } = rational;
const pool = new SolverPool({ threads: 1 });
afterAll(() => pool.close());

describe('a proved share-out, against CBC on a plain model', () => {
  it.each([
    [4, 3, 1],
    [5, 4, 2],
    [6, 4, 3],
    [8, 4, 4],
    [8, 5, 5],
    [9, 5, 6],
    [10, 5, 7],
    [12, 5, 8],
  ])('has the same objective for %i households and %i dishes (round %i)', async (households, dishes, seed) => {
    const given = shareOutInstance(seed, households, dishes, { scoring: 30 });
    // Weights and debts in whole numbers, so that the plain model can be exact.
    const plain = {
      ...given,
      households: given.households.map((household, h) => ({
        ...household,
        weight: `${1 + (h % 3)}`,
        owed: `${(h % 2) * 2 - 1}`,
      })),
    };
    const input = readShareOut(plain);
    const ours = await shareOutProved(input, pool, { milliseconds: 60_000 });
    expect(ours.proof).toBe('optimal');
    const { model, squares } = plainModel(
      input,
      input.households.map(({ id }) => ours.target.get(id) ?? zero),
    );
    const [square = 0, refused, outside, score] = cbcStages(model)?.values ?? [];
    const { squaredDeviation, outsideFairShare, ...others } = ours.objective;
    expect({
      square: format(squaredDeviation),
      refused: others.refused,
      outside: outsideFairShare,
      score: others.score,
    }).toEqual({
      square: format(squares(square)),
      refused,
      outside,
      score,
    });
  });
});
