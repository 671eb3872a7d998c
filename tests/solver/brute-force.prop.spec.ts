import { faultsOfValues, ModelBuilder, sumOfTerms } from '@frostmoot/calc';
import type { IntegerModel } from '@frostmoot/calc';
import { SolverPool } from '@frostmoot/solver';
import { afterAll, describe, expect, it } from '@jest/globals';
import fc from 'fast-check';

const pool = new SolverPool({ threads: 1 });
afterAll(() => pool.close());

const factors = fc.array(fc.integer({ min: -9, max: 9 }), { minLength: 6, maxLength: 6 });

/** Small models of every kind: equations, ranges, negative coefficients and bounds, fixed variables, up to three aims. */
const models = fc
  .record({
    bounds: fc.array(fc.tuple(fc.integer({ min: -3, max: 2 }), fc.integer({ min: 0, max: 4 })), {
      minLength: 1,
      maxLength: 6,
    }),
    rows: fc.array(
      fc.record({
        coefficients: factors,
        kind: fc.constantFrom('most', 'least', 'equal', 'range'),
        side: fc.integer({ min: -15, max: 30 }),
      }),
      { maxLength: 4 },
    ),
    aims: fc.array(factors, { maxLength: 3 }),
  })
  .map(({ bounds, rows, aims }): IntegerModel => {
    const model = new ModelBuilder();
    const names = bounds.map(([least, range], i) => model.whole(`x${i}`, least, least + range));
    const terms = (coefficients: number[]) => names.map((name, i) => [name, coefficients[i] ?? 0] as const);
    rows.forEach(({ coefficients, kind, side }, r) => {
      if (kind === 'most') model.atMost(`r${r}`, terms(coefficients), side);
      else if (kind === 'least') model.atLeast(`r${r}`, terms(coefficients), -side);
      else if (kind === 'equal') model.equals(`r${r}`, terms(coefficients), side);
      else model.between(`r${r}`, terms(coefficients), -Math.abs(side), Math.abs(side));
    });
    aims.forEach((coefficients, i) => model.seek(`aim ${i}`, i % 2 === 0 ? 'least' : 'most', terms(coefficients)));
    return model.build();
  });

/**
 * The best values of all aims, one after the other, by looking at every choice of values, and the solution that was come upon first; undefined when none
 * satisfies the rows.
 */
function bestOf(model: IntegerModel): { best: bigint[]; first: Map<string, number> } | undefined {
  let best: bigint[] | undefined;
  let come: Map<string, number> | undefined;
  const look = (i: number, values: Map<string, number>): void => {
    const variable = model.variables[i];
    if (variable) {
      for (let value = variable.least; value <= variable.most; value++) look(i + 1, values.set(variable.name, value));
      return;
    }
    if (faultsOfValues(model, values).length > 0) return;
    come ??= new Map(values);
    const found = model.stages.map(({ terms, seek }) => sumOfTerms(terms, values) * (seek === 'least' ? 1n : -1n));
    const first = found.findIndex((value, k) => value !== best?.[k]);
    if (!best || (first >= 0 && (found[first] ?? 0n) < (best[first] ?? 0n))) best = found;
  };
  look(0, new Map());
  if (!best || !come) return undefined;
  return { best: best.map((value, k) => value * (model.stages[k]?.seek === 'least' ? 1n : -1n)), first: come };
}

describe('the solver against all choices', () => {
  it.each([
    ['by the solver itself', {}, false],
    ['after rounding rows', { before: 'rounding' } as const, false],
    ['after rounding rows, from a solution on', { before: 'rounding' } as const, true],
    ['after rounding rows and branching on the linear program', { before: 'branching' } as const, false],
  ])('reaches the best of every stage, and finds out what is impossible, %s', async (_, first, isBegun) => {
    const counts = { possible: 0, impossible: 0 };
    await fc.assert(
      fc.asyncProperty(models, async (model) => {
        const all = bestOf(model);
        const best = all?.best;
        const start = isBegun && all ? { start: all.first } : {};
        const ours = await pool.solve({ ...model, ...first }, { milliseconds: 30_000, ...start });
        counts[best ? 'possible' : 'impossible']++;
        if (!best) return expect(ours).toEqual({ status: 'infeasible' });
        if (ours.status === 'infeasible') throw new Error('There is a solution.');
        expect(ours.status).toBe('optimal');
        expect(faultsOfValues(model, ours.values)).toEqual([]);
        expect(ours.stages.map(({ value }) => BigInt(value))).toEqual(best);
      }),
      { numRuns: 1500 },
    );
    expect(Math.min(counts.possible, counts.impossible)).toBeGreaterThan(100);
  });
});
