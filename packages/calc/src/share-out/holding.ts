import type { Rational } from '../rational.ts';
import { cmp, floor, max, mul, rational, sub, sum, zero } from '../rational.ts';
import type { Problem } from './problem.ts';
import { portionsOf } from './problem.ts';
import { ceilDiv, commonDenominator, floorDiv, gcd, scaled } from './scale.ts';

/** Who has which containers while a division is being improved, with everything that a step changes kept up to date. */
export class Holding {
  readonly problem: Problem;
  /** counts[household][lot], containers held from before included */
  readonly counts: number[][];
  /** containers of each lot that nobody has */
  readonly spare: number[];
  /** received - target of each household, times `factor` */
  readonly deviation: bigint[];
  /** what a container of each lot counts, times `factor` */
  readonly worth: bigint[];
  /** how many units a container of each lot is; a unit is the greatest amount of which all are whole multiples */
  readonly size: number[];
  /** a unit, times `factor`: worth = size x sizeFactor */
  readonly sizeFactor: bigint;
  readonly factor: bigint;
  /** of each household and dish, containers, and the least and greatest that are its fair share of the dish */
  readonly ofDish: number[][];
  readonly fair: (readonly [number, number])[][];
  /** how often the containers of each household have changed */
  readonly changes: number[];
  private readonly filled: number[];
  private readonly limits: (number | undefined)[];

  constructor(problem: Problem, target: readonly Rational[], given: readonly (readonly number[])[]) {
    this.problem = problem;
    this.counts = given.map((row, h) => row.map((count, l) => count + (problem.held[h]?.[l] ?? 0)));
    this.spare = problem.lots.map(
      ({ containers }, l) => containers - this.counts.reduce((n, row) => n + (row[l] ?? 0), 0),
    );
    const ofValues = commonDenominator(problem.value);
    this.factor = commonDenominator([...problem.value, ...target]);
    const sizes = problem.value.map((value) => scaled(value, ofValues));
    const unit = sizes.reduce(gcd, 0n) || 1n;
    this.sizeFactor = (this.factor / ofValues) * unit;
    this.worth = problem.value.map((value) => scaled(value, this.factor));
    this.size = sizes.map((size) => Number(size / unit));
    this.limits = problem.mostStored.map((most) => most && Number(floor(mul(most, rational(ofValues, unit)))));
    this.deviation = this.counts.map((row, h) => scaled(sub(portionsOf(problem, row), target[h] ?? zero), this.factor));
    this.ofDish = this.counts.map((row) => {
      const dishes = problem.dishes.map(() => 0);
      row.forEach((count, l) => (dishes[problem.dishOf[l] ?? 0] = (dishes[problem.dishOf[l] ?? 0] ?? 0) + count));
      return dishes;
    });
    this.changes = this.counts.map(() => 0);
    this.fair = fairShares(problem, target);
    this.filled = this.counts.map((row) =>
      row.reduce((ml, count, l) => ml + count * (problem.lots[l]?.containerMl ?? 0), 0),
    );
  }

  /** Containers of a lot that a household has and may give away. */
  movable(h: number, l: number): number {
    return (this.counts[h]?.[l] ?? 0) - (this.problem.held[h]?.[l] ?? 0);
  }

  /** What of its units a household may give away. */
  movableUnits(h: number): number {
    return this.size.reduce((units, size, l) => units + size * this.movable(h, l), 0);
  }

  /** How many units each household has. */
  unitsNow(): number[] {
    return this.counts.map((row) => row.reduce((units, count, l) => units + count * (this.size[l] ?? 0), 0));
  }

  /** The numbers of units with which a household's deviation is at most so far from nil; there may be none, then the first is above the second. */
  unitsWithin(h: number, most: bigint): readonly [number, number] {
    const now = this.unitsNow()[h] ?? 0;
    const off = this.deviation[h] ?? 0n;
    return [now + Number(ceilDiv(-most - off, this.sizeFactor)), now + Number(floorDiv(most - off, this.sizeFactor))];
  }

  /** How many more units a household could store at most, if it had what fits best; Infinity without a freezer limit. */
  unitsToLimit(h: number): number {
    const limit = this.limits[h];
    return limit === undefined
      ? Infinity
      : limit - this.size.reduce((n, size, l) => n + size * (this.counts[h]?.[l] ?? 0), 0);
  }

  eats(h: number, l: number): boolean {
    return this.problem.eats[h]?.[this.problem.dishOf[l] ?? 0] ?? false;
  }

  /** Whether a household's freezer takes these lots' containers when it gives those away. */
  hasRoom(h: number, taken: readonly number[], given: readonly number[] = []): boolean {
    const limit = this.problem.households[h]?.freezerMl;
    if (limit === undefined) return true;
    const change = this.millilitres(taken) - this.millilitres(given);
    return change <= 0 || (this.filled[h] ?? 0) + change <= limit;
  }

  isOverfull(h: number): boolean {
    const limit = this.problem.households[h]?.freezerMl;
    return limit !== undefined && (this.filled[h] ?? 0) > limit;
  }

  /** Moves one container of each of these lots; undefined stands for the containers that nobody has. */
  move(lots: readonly number[], from: number | undefined, to: number | undefined): void {
    for (const l of lots) {
      this.change(from, l, -1);
      this.change(to, l, 1);
    }
  }

  private change(h: number | undefined, l: number, by: 1 | -1): void {
    const row = h === undefined ? this.spare : this.counts[h];
    if (row) row[l] = (row[l] ?? 0) + by;
    if (h === undefined) return;
    this.changes[h] = (this.changes[h] ?? 0) + 1;
    const dish = this.problem.dishOf[l] ?? 0;
    const dishes = this.ofDish[h];
    if (dishes) dishes[dish] = (dishes[dish] ?? 0) + by;
    this.deviation[h] = (this.deviation[h] ?? 0n) + (by > 0 ? (this.worth[l] ?? 0n) : -(this.worth[l] ?? 0n));
    this.filled[h] = (this.filled[h] ?? 0) + (this.problem.lots[l]?.containerMl ?? 0) * by;
  }

  private millilitres(lots: readonly number[]): number {
    return lots.reduce((ml, l) => ml + (this.problem.lots[l]?.containerMl ?? 0), 0);
  }
}

/** Floor and ceiling of each household's part of each dish by target, among those who may eat it. */
function fairShares(problem: Problem, target: readonly Rational[]): (readonly [number, number])[][] {
  const wanted = target.map((value) => max(value, zero));
  const containers = problem.dishes.map((_, d) =>
    problem.lots.reduce((count, lot, l) => count + (problem.dishOf[l] === d ? lot.containers : 0), 0),
  );
  const together = problem.dishes.map((_, d) => sum(wanted.filter((__, h) => problem.eats[h]?.[d])));
  return wanted.map((value, h) =>
    containers.map((count, d) => {
      const all = together[d] ?? zero;
      if (!problem.eats[h]?.[d] || cmp(all, zero) === 0) return [0, 0];
      const part = mul(rational(BigInt(count)), rational(value.n * all.d, value.d * all.n));
      const least = Number(floor(part));
      return [least, part.d === 1n ? least : least + 1];
    }),
  );
}
