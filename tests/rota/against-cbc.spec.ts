import { ModelBuilder, rational, readRota, rotaProved, verifyRota, writeRota } from '@frostmoot/calc';
import type { IntegerModel, Rational, RotaInput } from '@frostmoot/calc';
import { SolverPool } from '@frostmoot/solver';
import { afterAll, describe, expect, it } from '@jest/globals';
import { rotaInstance } from '../builders/rota-instance.ts';
import { cbcStages } from '../solver/cbc.ts';

const { add, div, format, mul, rational: fraction, sub, sum, zero } = rational;
const pool = new SolverPool({ threads: 1 });
afterAll(() => pool.close());

const whole = (n: number | bigint): Rational => fraction(BigInt(n));
const gcd = (a: bigint, b: bigint): bigint => (b === 0n ? a : gcd(b, a % b));

/** A rota as one plain integer program, written anew for tests: who cooks when under every limit, and the exact increase of each household's square with each turn. */
function plainModel({ weeks, households }: RotaInput): { model: IntegerModel; squares: (value: number) => Rational } {
  const model = new ModelBuilder();
  const order = weeks.map((week, at) => ({ week, at })).sort((a, b) => (a.week.id < b.week.id ? -1 : 1));
  const turns = weeks.reduce((total, { team }) => total + team, 0);
  const all = sum(households.map(({ weight }) => weight));
  const target = households.map(({ weight, owedTurns }) => add(div(mul(whole(turns), weight), all), owedTurns));
  const common = target.reduce((d, value) => (d * value.d) / gcd(d, value.d), 1n);
  const name = (h: number, w: number): string => `x${h}_${w}`;
  households.forEach(({ away }, h) => weeks.forEach(({ id }, w) => model.whole(name(h, w), 0, away.has(id) ? 0 : 1)));
  weeks.forEach(({ id, team, potMl, dishes }, w) => {
    const cooks = households.map((cook, h) => ({ cook, name: name(h, w) }));
    model.equals(
      `team ${id}`,
      cooks.map((each) => [each.name, 1] as const),
      team,
    );
    for (const dish of dishes) {
      const able = cooks.filter(({ cook }) => cook.skills.has(dish)).map((each) => [each.name, 1] as const);
      model.atLeast(`skill ${id} ${dish}`, able, 1);
    }
    if (potMl > 0)
      model.atLeast(
        `pots ${id}`,
        cooks.map(({ cook, name: x }) => [x, cook.potMl] as const),
        potMl,
      );
  });
  const steps: [string, number][] = [];
  let least = zero;
  households.forEach(({ minGap }, h) => {
    for (let i = 0; minGap > 0 && i < order.length; i++) {
      const window = order.slice(i, i + minGap + 1).map(({ at }) => [name(h, at), 1] as const);
      model.atMost(`gap ${h} ${i}`, window, 1);
    }
    const centre = target[h] ?? zero;
    const counted = weeks.map((_, w) => {
      const step = model.decision(`z${h}_${w}`);
      const before = sub(whole(w), centre);
      const after = add(before, whole(1));
      const cost = mul(sub(mul(after, after), mul(before, before)), whole(common));
      steps.push([step, Number(cost.n)]);
      return [step, -1] as const;
    });
    least = add(least, mul(centre, centre));
    model.equals(`turns ${h}`, [...weeks.map((_, w) => [name(h, w), 1] as const), ...counted], 0);
  });
  model.seek('squares', 'least', steps);
  return { model: model.build(), squares: (value) => add(least, div(whole(value), whole(common))) };
}

describe('a proved rota, against CBC on a plain model', () => {
  it.each([
    [5, 6, 1],
    [6, 8, 2],
    [8, 10, 3],
    [8, 12, 4],
    [10, 16, 5],
    [12, 20, 6],
    [15, 20, 7],
  ])(
    'is as near to the targets, or as impossible, for %i households and %i weeks (rota %i)',
    async (households, weeks, seed) => {
      const given = rotaInstance(seed, households, weeks);
      const input = readRota(given);
      const found = await rotaProved(input, pool, { milliseconds: 60_000 });
      expect(verifyRota(given, writeRota(found))).toEqual([]);
      const { model, squares } = plainModel(input);
      const cbc = cbcStages(model);
      expect(found.relax.length > 0).toBe(cbc === undefined);
      if (!cbc) return;
      expect(found.proof).toBe('optimal');
      expect(format(found.squares)).toBe(format(squares(cbc.values[0] ?? NaN)));
    },
  );
});
