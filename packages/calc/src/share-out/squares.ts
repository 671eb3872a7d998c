import type { Rational } from '../rational.ts';
import { rational } from '../rational.ts';
import type { Terms } from '../solver/model.ts';
import { modelLimits } from '../solver/model.ts';
import type { ModelBuilder } from '../solver/model-builder.ts';
import { AttainableUnits } from './attainable-units.ts';
import type { Holding } from './holding.ts';
import { floorDiv, gcd, squareRoot } from './scale.ts';

/** Costs are written in digits of this base, so that no coefficient is large, however long the fractions of the targets are. */
const base = 100_000n;

/** More steps than this are no search that ends in useful time. */
const mostSteps = 20_000;

/** What the names of the stages of the squares begin with. */
export const squaresStage = 'squares';

const padded = (n: number): string => n.toString().padStart(4, '0');

/** The steps of one household: from how many units on, how many units each next step is, and what it adds to its squared deviation, in some common measure. */
interface Steps {
  from: number;
  sizes: number[];
  costs: bigint[];
}

/** What the first of the stages means: with its value the sum of squared deviations is at least this much. */
export interface Scale {
  /** how many stages the digits make */
  stages: number;
  /** what the first stage cannot be below */
  least: number;
  squaresFor: (value: number) => Rational;
}

/** How far each household may be from its target in a division that is no worse than the one in view: the others have at least their least squares. */
function farthest(holding: Holding, attainable: AttainableUnits): bigint[] {
  const { deviation } = holding;
  const now = holding.unitsNow();
  const least = deviation.map((off, h) => {
    const has = now[h] ?? 0;
    const squareAt = (units: number): bigint => {
      const there = off + BigInt(units - has) * holding.sizeFactor;
      return there * there;
    };
    const step = (units: number): number | undefined =>
      off > 0n ? attainable.before(h, units) : attainable.next(h, units);
    let best = off * off;
    for (let units = step(has); units !== undefined; units = step(units)) {
      const square = squareAt(units);
      if (square >= best) break;
      best = square;
    }
    return best;
  });
  const all = deviation.reduce((total, off) => total + off * off, 0n);
  const leastOfAll = least.reduce((a, b) => a + b, 0n);
  return least.map((own) => squareRoot(all - leastOfAll + own));
}

function stepsOf(
  holding: Holding,
  attainable: AttainableUnits,
  h: number,
  most: bigint,
  within: readonly [number, number] | undefined,
): Steps {
  const { deviation, sizeFactor: unit } = holding;
  const now = holding.unitsNow()[h] ?? 0;
  const [a, b] = holding.unitsWithin(h, most);
  const [least, greatest] = [Math.max(a, within?.[0] ?? a), Math.min(b, within?.[1] ?? b)];
  const points = [now];
  for (let n = attainable.before(h, now); n !== undefined && n >= least; n = attainable.before(h, n)) points.unshift(n);
  for (let n = attainable.next(h, now); n !== undefined && n <= greatest; n = attainable.next(h, n)) points.push(n);
  const offAt = (units: number): bigint => (deviation[h] ?? 0n) + BigInt(units - now) * unit;
  const pairs = points.slice(1).map((to, k) => [points[k] ?? 0, to] as const);
  return {
    from: points[0] ?? now,
    sizes: pairs.map(([from, to]) => to - from),
    // (x + s u)^2 - x^2 = u s (2 x + s u), and the factor u is common to all.
    costs: pairs.map(([from, to]) => BigInt(to - from) * (2n * offAt(from) + BigInt(to - from) * unit)),
  };
}

/** A number in digits of the base, the highest first; the highest carries the sign and is small enough to be a coefficient. */
function digitsOf(value: bigint, count: number): number[] {
  const digits: number[] = [];
  let rest = value;
  for (let i = 1; i < count; i++) {
    const quotient = floorDiv(rest, base);
    digits.unshift(Number(rest - quotient * base));
    rest = quotient;
  }
  return [Number(rest), ...digits];
}

function digitsNeeded(costs: readonly bigint[]): number {
  const largest = costs.reduce((most, cost) => (cost > most ? cost : -cost > most ? -cost : most), 0n);
  let count = 1;
  for (let rest = largest; rest + 1n >= BigInt(modelLimits.coefficient); rest /= base) count++;
  return count;
}

/**
 * Adds the least sum of squared deviations to a model as convex costs of unit steps, exact. The costs are whole numbers of any length, so they are
 * written in digits: with a carry from each digit to the next, least in the first digit, then in the second and so on, is least in all.
 * `units`: each household's units as terms; `within`: units that it must stay within, if any; `start`: takes the values that
 * the division in view has. Throws RangeError when there are too many steps.
 */
export function addSquares(
  model: ModelBuilder,
  holding: Holding,
  units: readonly Terms[],
  within: (h: number) => readonly [number, number] | undefined,
  start: Map<string, number>,
): Scale {
  const now = holding.unitsNow();
  const attainable = new AttainableUnits(holding);
  const far = farthest(holding, attainable);
  const steps = units.map((_, h) => stepsOf(holding, attainable, h, far[h] ?? 0n, within(h)));
  const all = steps.flatMap(({ costs }) => costs);
  if (all.length > mostSteps) throw new RangeError('There are too many steps.');
  const common = all.reduce((a, b) => gcd(a, b < 0n ? -b : b), 0n) || 1n;
  const count = digitsNeeded(all.map((cost) => cost / common));
  const digitTerms: [string, number][][] = Array.from({ length: count }, () => []);
  const sums = digitTerms.map(() => 0);
  steps.forEach(({ from, sizes, costs }, h) => {
    let reached = from;
    const taken = costs.map((cost, k) => {
      const name = model.decision(`step ${padded(h)} ${padded(k)}`);
      const isTaken = reached < (now[h] ?? 0);
      reached += sizes[k] ?? 0;
      start.set(name, isTaken ? 1 : 0);
      digitsOf(cost / common, count).forEach((digit, i) => {
        if (digit !== 0) digitTerms[i]?.push([name, digit]);
        if (isTaken) sums[i] = (sums[i] ?? 0) + digit;
      });
      return [name, -(sizes[k] ?? 0)] as const;
    });
    model.equals(`units ${padded(h)}`, [...(units[h] ?? []), ...taken], from);
  });
  const stages: [string, Terms][] = [];
  for (let i = count - 1; i > 0; i--) {
    const carry = model.whole(`carry ${i}`, 0, all.length + 1);
    const rest = model.whole(`rest ${i}`, 0, Number(base) - 1);
    model.equals(`digit ${i}`, [...(digitTerms[i] ?? []), [carry, -Number(base)], [rest, -1]], 0);
    digitTerms[i - 1]?.push([carry, 1]);
    stages.unshift([`${squaresStage} ${i}`, [[rest, 1]]]);
    const carried = Math.floor((sums[i] ?? 0) / Number(base));
    start.set(carry, carried);
    start.set(rest, (sums[i] ?? 0) - carried * Number(base));
    sums[i - 1] = (sums[i - 1] ?? 0) + carried;
  }
  stages.unshift([`${squaresStage} 0`, digitTerms[0] ?? []]);
  for (const [name, terms] of stages) model.seek(name, 'least', terms);
  const least = steps.reduce((total, { from }, h) => {
    const off = (holding.deviation[h] ?? 0n) + BigInt(from - (now[h] ?? 0)) * holding.sizeFactor;
    return total + off * off;
  }, 0n);
  const step = holding.sizeFactor * common * base ** BigInt(count - 1);
  return {
    stages: count,
    least: all.reduce((total, cost) => total + Math.min(0, digitsOf(cost / common, count)[0] ?? 0), 0),
    squaresFor: (value) => rational(least + step * BigInt(value), holding.factor * holding.factor),
  };
}
