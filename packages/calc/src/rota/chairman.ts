import { drawOrder } from '../allocation/draw.ts';
import type { Shares } from '../allocation/largest-remainder.ts';
import type { Rational } from '../rational.ts';
import { cmp, div, mul, rational, sub, sum, one } from '../rational.ts';

/** No household is ever further than this from its even pace: 1 - 1/(2n - 2), nil when there is only one. */
export const chairmanBound = (households: number): Rational =>
  households < 2 ? rational(0n) : sub(one, rational(1n, BigInt(2 * households - 2)));

/**
 * Who takes each of a row of single turns, so that everybody's turns are spread as evenly as can be promised: after any number k of turns nobody has
 * had more than 1 - 1/(2n - 2) of a turn more or fewer than k x weight / sum of weights, with n the number of households of positive weight.
 * Method: of those who may take the next turn without being too far ahead, the one who would be too late soonest. Source: Tijdeman, The chairman assignment
 * problem, Discrete Mathematics 32 (1980). `weights`: id to weight, none negative; `turns`: how many; `seed`: draws among equals. Gives one id for each
 * turn. Throws RangeError when no weight is positive.
 */
export function chairmanOrder(weights: Shares, turns: number, seed: string): string[] {
  const all = sum(weights.values());
  if (all.n <= 0n) throw new RangeError('Somebody must have a weight above nil.');
  const people = drawOrder(seed, weights.keys()).flatMap((id) => {
    const weight = weights.get(id);
    return weight && weight.n > 0n ? [{ id, rate: div(weight, all), had: 0n }] : [];
  });
  const bound = chairmanBound(people.length);
  const ahead = sub(one, bound);
  return Array.from({ length: turns }, (_, k) => {
    let next: (typeof people)[number] | undefined;
    let soonest: Rational | undefined;
    for (const person of people) {
      const due = sub(mul(rational(BigInt(k + 1)), person.rate), rational(person.had));
      if (people.length > 1 && cmp(due, ahead) < 0) continue;
      const late = div(sub(bound, due), person.rate);
      if (soonest === undefined || cmp(late, soonest) < 0) [next, soonest] = [person, late];
    }
    if (!next) throw new RangeError('Nobody may take a turn.');
    next.had++;
    return next.id;
  });
}
