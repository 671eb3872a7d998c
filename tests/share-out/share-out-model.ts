import { ModelBuilder, rational } from '@frostmoot/calc';
import type { IntegerModel, Rational, ShareOutInput } from '@frostmoot/calc';

const { add, ceil, cmp, div, eq, floor, max, mul, sub, sum, zero } = rational;
const whole = (n: number | bigint): Rational => rational.rational(BigInt(n));

/**
 * A share-out as one plain integer program, written anew for tests: containers, unit steps with the exact increase of each household's squared deviation, wishes.
 * Only for rounds whose targets have a small common denominator and whose containers are whole portions. Gives the model and how the value of its
 * first stage becomes the sum of squares.
 */
export function plainModel(
  input: ShareOutInput,
  target: readonly Rational[],
): { model: IntegerModel; squares: (value: number) => Rational } {
  const { households, lots } = input;
  const model = new ModelBuilder();
  const name = (h: number, l: number): string => `x${h}_${l}`;
  const eats = (h: number, dish: string): boolean => !households[h]?.excludes.has(dish);
  households.forEach((_, h) =>
    lots.forEach(({ dish, containers }, l) => {
      if (eats(h, dish)) model.whole(name(h, l), 0, containers);
    }),
  );
  lots.forEach(({ dish, containers }, l) => {
    const eaters = households.flatMap((_, h) => (eats(h, dish) ? [[name(h, l), 1] as const] : []));
    if (eaters.length > 0) model.equals(`lot ${l}`, eaters, containers);
  });
  const common = target.reduce((d, value) => (d * value.d) / gcd(d, value.d), 1n);
  const steps: [string, number][] = [];
  let least = zero;
  households.forEach((_, h) => {
    const mine = lots.flatMap(({ dish, portions }, l) =>
      eats(h, dish) ? [[name(h, l), Number(portions.n)] as const] : [],
    );
    const centre = Number(floor(target[h] ?? zero));
    const from = Math.max(0, centre - 8);
    const taken = Array.from({ length: 17 }, (__, k) => {
      const step = model.decision(`z${h}_${k}`);
      const before = sub(whole(from + k), target[h] ?? zero);
      const after = add(before, whole(1));
      const cost = mul(sub(mul(after, after), mul(before, before)), whole(common));
      steps.push([step, Number(cost.n)]);
      return [step, -1] as const;
    });
    const off = sub(whole(from), target[h] ?? zero);
    least = add(least, mul(off, off));
    model.equals(`units ${h}`, [...mine, ...taken], from);
  });
  model.seek('squares', 'least', steps);
  addWishes(model, input, target, eats, name);
  return { model: model.build(), squares: (value) => add(least, div(whole(value), whole(common))) };
}

const gcd = (a: bigint, b: bigint): bigint => (b === 0n ? a : gcd(b, a % b));

function addWishes(
  model: ModelBuilder,
  { households, lots }: ShareOutInput,
  target: readonly Rational[],
  eats: (h: number, dish: string) => boolean,
  name: (h: number, l: number) => string,
): void {
  const dishes = [...new Set(lots.map(({ dish }) => dish))];
  const wanted = target.map((value) => max(value, zero));
  const refused: [string, number][] = [];
  const outside: [string, number][] = [];
  const score: [string, number][] = [];
  dishes.forEach((dish, d) => {
    const all = lots.reduce((n, lot) => n + (lot.dish === dish ? lot.containers : 0), 0);
    const among = sum(wanted.filter((_, h) => eats(h, dish)));
    households.forEach(({ refuses, scores }, h) => {
      if (!eats(h, dish)) return;
      const part = cmp(among, zero) === 0 ? zero : div(mul(whole(all), wanted[h] ?? zero), among);
      const mine = lots.flatMap((lot, l) => (lot.dish === dish ? [[name(h, l), 1] as const] : []));
      const [over, under] = [model.whole(`o${h}_${d}`, 0, all), model.whole(`u${h}_${d}`, 0, all)];
      model.atMost(`most ${h} ${d}`, [...mine, [over, -1]], Number(eq(part, zero) ? 0n : ceil(part)));
      model.atLeast(`least ${h} ${d}`, [...mine, [under, 1]], Number(floor(part)));
      outside.push([over, 1], [under, 1]);
      for (const [variable] of mine) {
        if (refuses.has(dish)) refused.push([variable, 1]);
        if (scores.get(dish)) score.push([variable, scores.get(dish) ?? 0]);
      }
    });
  });
  model.seek('refused', 'least', refused);
  model.seek('outside', 'least', outside);
  model.seek('score', 'most', score);
}
