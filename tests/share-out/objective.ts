import { rational } from '@frostmoot/calc';
import type { Rational, ShareOutInput } from '@frostmoot/calc';

const { add, ceil, cmp, div, floor, max, mul, sub, sum, zero } = rational;
const whole = (n: number): Rational => rational.rational(BigInt(n));

/** The objective of a division, computed anew for tests from the definitions alone. */
export interface Objective {
  unallotted: number;
  squares: Rational;
  refused: number;
  outside: number;
  score: number;
}

/** Below nil when the first is better. */
export function compare(a: Objective, b: Objective): number {
  return (
    a.unallotted - b.unallotted ||
    cmp(a.squares, b.squares) ||
    a.refused - b.refused ||
    a.outside - b.outside ||
    b.score - a.score
  );
}

/** Gives what a division is worth: `count`: containers of a lot that a household has, by number. */
export function evaluator(
  input: ShareOutInput,
  target: readonly Rational[],
): (count: (h: number, l: number) => number) => { objective: Objective; off: Rational[] } {
  const { households, lots } = input;
  const dishes = [...new Set(lots.map(({ dish }) => dish))];
  const worth = lots.map(({ portions, counts }) => mul(portions, counts));
  const wanted = target.map((value) => max(value, zero));
  const fair = households.map(({ excludes }, h) =>
    dishes.map((dish) => {
      const among = sum(wanted.filter((_, other) => !households[other]?.excludes.has(dish)));
      if (excludes.has(dish) || cmp(among, zero) === 0) return [0, 0] as const;
      const all = lots.reduce((n, lot) => n + (lot.dish === dish ? lot.containers : 0), 0);
      const part = div(mul(whole(all), wanted[h] ?? zero), among);
      return [Number(floor(part)), Number(ceil(part))] as const;
    }),
  );
  return (count) => {
    const off = households.map((_, h) =>
      sub(sum(lots.map((__, l) => mul(whole(count(h, l)), worth[l] ?? zero))), target[h] ?? zero),
    );
    const objective: Objective = {
      unallotted: lots.reduce(
        (total, { containers }, l) => total + containers - households.reduce((n, _, h) => n + count(h, l), 0),
        0,
      ),
      squares: off.reduce((total, value) => add(total, mul(value, value)), zero),
      refused: 0,
      outside: 0,
      score: 0,
    };
    households.forEach(({ refuses, scores }, h) =>
      dishes.forEach((dish, d) => {
        const n = lots.reduce((total, lot, l) => total + (lot.dish === dish ? count(h, l) : 0), 0);
        const [least, most] = fair[h]?.[d] ?? [0, 0];
        objective.refused += refuses.has(dish) ? n : 0;
        objective.outside += Math.max(0, least - n, n - most);
        objective.score += n * (scores.get(dish) ?? 0);
      }),
    );
    return { objective, off };
  };
}
