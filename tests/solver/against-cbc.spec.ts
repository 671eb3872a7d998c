import { ModelBuilder } from '@frostmoot/calc';
import type { IntegerModel } from '@frostmoot/calc';
import { SolverPool } from '@frostmoot/solver';
import { afterAll, describe, expect, it } from '@jest/globals';
import { drawer } from '../builders/share-out-instance.ts';
import { cbcStages } from './cbc.ts';

const pool = new SolverPool({ threads: 1 });
afterAll(() => pool.close());

/** Packing and covering at once: of each thing none or some, rows that it must fit into, rows that it must fill, and two aims. */
function packing(seed: number): IntegerModel {
  const draw = drawer(seed);
  const model = new ModelBuilder();
  const count = 12 + draw(12);
  const names = Array.from({ length: count }, (_, i) => model.whole(`x${i}`, 0, 1 + draw(4)));
  const terms = (most: number) => names.map((name) => [name, draw(most)] as const);
  for (let r = 0; r < 4; r++) model.atMost(`fit ${r}`, terms(30), 60 + draw(200));
  for (let r = 0; r < 2; r++) model.atLeast(`fill ${r}`, terms(12), 5 + draw(25));
  model.seek('worth', 'most', terms(50));
  model.seek('effort', 'least', terms(20));
  return model.build();
}

describe('the solver against CBC', () => {
  it.each(Array.from({ length: 40 }, (_, seed) => seed))(
    'reaches the same optimum of both stages, model %i',
    async (seed) => {
      const model = packing(seed);
      const ours = await pool.solve(model, { milliseconds: 60_000 });
      const theirs = cbcStages(model);
      if (!theirs) expect(ours.status).toBe('infeasible');
      else
        expect(ours).toMatchObject({
          status: 'optimal',
          stages: theirs.values.map((value) => ({ value, bound: value })),
        });
    },
  );
});
