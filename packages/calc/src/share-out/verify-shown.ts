import type { Rational } from '../rational.ts';
import { abs, ceil, cmp, div, eq, floor, isZero, max, mul, rational, sign, sub, sum, zero } from '../rational.ts';
import type { ShareLot, ShareOutInput } from './share-out-input.ts';
import type { ShareOutOutput } from './share-out.ts';
import { fullestFreezer } from './verify-freezer.ts';
import type { Neighbours } from './verify-fluid.ts';
import { isNearestByUnits } from './verify-fluid.ts';
import { claimedNumber } from './verify-number.ts';

const whole = (count: number): Rational => rational(BigInt(count));
const worthOf = ({ portions, counts }: ShareLot): Rational => mul(portions, counts);

/** Everything that the marks look at, from the input and the containers of the output alone. */
class Shown {
  readonly input: ShareOutInput;
  readonly output: ShareOutOutput;
  readonly dishes: string[];
  readonly target: Rational[];
  readonly deviation: Rational[];

  constructor(input: ShareOutInput, output: ShareOutOutput) {
    this.input = input;
    this.output = output;
    this.dishes = [...new Set(input.lots.map(({ dish }) => dish))];
    this.target = input.households.map(
      ({ id }) => (Object.hasOwn(output.target, id) ? claimedNumber(output.target[id]) : undefined) ?? zero,
    );
    this.deviation = input.households.map((_, h) =>
      sub(sum(input.lots.map((lot, l) => mul(whole(this.count(h, l)), worthOf(lot)))), this.target[h] ?? zero),
    );
  }

  count(h: number, l: number): number {
    const mine = this.output.containers[this.input.households[h]?.id ?? ''] ?? {};
    const lot = this.input.lots[l]?.id ?? '';
    return Object.hasOwn(mine, lot) ? (mine[lot] ?? 0) : 0;
  }

  movable(h: number, l: number): number {
    const { households, lots } = this.input;
    return this.count(h, l) - (households[h]?.holds.get(lots[l]?.id ?? '') ?? 0);
  }

  eats(h: number, dish: string): boolean {
    return !(this.input.households[h]?.excludes.has(dish) ?? true);
  }

  ofDish(h: number, dish: string): number {
    return this.input.lots.reduce((total, lot, l) => total + (lot.dish === dish ? this.count(h, l) : 0), 0);
  }

  /** Floor and ceiling of a household's part of a dish by target among those who may eat it. */
  fairShare(h: number, dish: string): readonly [number, number] {
    const wanted = this.target.map((value) => max(value, zero));
    const among = sum(wanted.filter((_, other) => this.eats(other, dish)));
    if (!this.eats(h, dish) || sign(among) <= 0) return [0, 0];
    const all = this.input.lots.reduce((total, lot) => total + (lot.dish === dish ? lot.containers : 0), 0);
    const part = div(mul(whole(all), wanted[h] ?? zero), among);
    return [Number(floor(part)), Number(ceil(part))];
  }
}

function isAllAllotted({ input, output }: Shown): boolean {
  const left = Object.values(output.unallotted).reduce((a, b) => a + b, 0);
  const uneatable = input.lots.reduce((total, lot) => {
    const held = input.households.reduce((n, { holds }) => n + (holds.get(lot.id) ?? 0), 0);
    return input.households.every(({ excludes }) => excludes.has(lot.dish)) ? total + lot.containers - held : total;
  }, 0);
  return left === uneatable;
}

/** The greatest amount of which every container is a whole multiple. */
function unitOf(lots: readonly ShareLot[]): Rational {
  const gcd = (a: bigint, b: bigint): bigint => (b === 0n ? a : gcd(b, a % b));
  const unit = lots
    .map(worthOf)
    .filter((worth) => !isZero(worth))
    .reduce<Rational | undefined>((a, b) => (a ? rational(gcd(a.n * b.d, b.n * a.d), a.d * b.d) : b), undefined);
  return unit ?? { n: 1n, d: 1n };
}

/** Sums that some of the containers make, as bits, one container after another. */
function sumsOf(items: readonly { size: number; count: number }[]): bigint {
  let bits = 1n;
  for (const { size, count } of items) for (let n = 0; n < count; n++) bits |= bits << BigInt(size);
  return bits;
}

function neighboursOf(shown: Shown, unit: Rational): Neighbours[] {
  const { input } = shown;
  const heldOf = (lot: ShareLot): number => input.households.reduce((n, { holds }) => n + (holds.get(lot.id) ?? 0), 0);
  const beside = input.lots.map((lot) => ({ lot, worth: worthOf(lot), free: lot.containers - heldOf(lot) }));
  const sizes = beside.map(({ worth }) => Number(div(worth, unit).n));
  const all = beside.reduce((n, { free }, l) => n + free * (sizes[l] ?? 0), 0);
  const known = new Map<string, bigint>();
  return input.households.map((household, h) => {
    const unitsOf = (count: (l: number) => number): number => sizes.reduce((n, size, l) => n + size * count(l), 0);
    const base = unitsOf((l) => household.holds.get(input.lots[l]?.id ?? '') ?? 0);
    const now = unitsOf((l) => shown.count(h, l));
    const limit = fullestFreezer(household, beside);
    const most = limit ? Number(floor(div(limit, unit))) : Infinity;
    const eaten = beside.flatMap(({ lot, free }, l) =>
      shown.eats(h, lot.dish) && sizes[l] ? [{ size: sizes[l], count: free, l }] : [],
    );
    const key = eaten.map(({ l }) => l).join(' ');
    // In a huge round every number is taken for possible, which only makes the mark harder to meet.
    const bits = all > 20_000 ? undefined : (known.get(key) ?? sumsOf(eaten));
    if (bits !== undefined) known.set(key, bits);
    const is = (units: number): boolean => bits === undefined || ((bits >> BigInt(units - base)) & 1n) === 1n;
    const from = (start: number, by: 1 | -1): number | undefined => {
      for (let n = start; n >= base && n - base <= all; n += by) if (is(n)) return n;
      return undefined;
    };
    const next = from(now + 1, 1);
    return { now, next: next !== undefined && next > most ? undefined : next, before: from(now - 1, -1) };
  });
}

function isNearest(shown: Shown): boolean {
  const { input, dishes, deviation } = shown;
  const unit = unitOf(input.lots);
  const has = input.households.map((_, h) =>
    dishes.map((dish) =>
      input.lots.some((lot, l) => lot.dish === dish && !isZero(worthOf(lot)) && shown.movable(h, l) > 0),
    ),
  );
  const neighbours = neighboursOf(shown, unit);
  const eats = input.households.map((_, h) => dishes.map((dish) => shown.eats(h, dish)));
  return isAllAllotted(shown) && isNearestByUnits(deviation, unit, eats, has, neighbours);
}

/** With a variety window nothing more is asked of the deviations than to be within it. */
function isWithinWindow({ input, deviation }: Shown): boolean {
  const { varietyWindow } = input;
  return !isZero(varietyWindow) && deviation.every((value) => cmp(abs(value), varietyWindow) <= 0);
}

/** What a step costs, part by part in the order in which they count. */
type Cost = readonly [squares: bigint, refused: number, outside: number, score: number];
const plus = (a: Cost, b: Cost): Cost => [a[0] + b[0], a[1] + b[1], a[2] + b[2], a[3] + b[3]];
const isLess = (a: Cost, b: Cost): boolean => {
  const first = a.findIndex((part, i) => part !== b[i]);
  return first >= 0 && (a[first] ?? 0) < (b[first] ?? 0);
};

/**
 * Whether, with containers of one size, no circle of exchanges betters the whole objective: then none exists at all, because it is the cost of a network
 * flow with convex costs (Klein, Management Science 14, 1967).
 */
function hasNoBetterCircle(shown: Shown): boolean {
  const { input, dishes, deviation } = shown;
  const sizes = input.lots.filter(({ containers }) => containers > 0).map(worthOf);
  const size = sizes[0] ?? zero;
  const isPlain = input.households.every(({ freezerMl }) => freezerMl === undefined) && isZero(input.varietyWindow);
  if (!isPlain || sizes.some((other) => !eq(size, other))) return false;
  const common = [...deviation, size].reduce((d, value) => d * value.d, 1n);
  const scaled = (value: Rational): bigint => (value.n * common) / value.d;
  const wish = (h: number, dish: string, by: number): Cost => {
    const household = input.households[h];
    const [least, most] = shown.fairShare(h, dish);
    const now = shown.ofDish(h, dish);
    const outside = (n: number): number => Math.max(0, least - n, n - most);
    const score = household?.scores.get(dish) ?? 0;
    return [0n, household?.refuses.has(dish) ? by : 0, outside(now + by) - outside(now), -by * score];
  };
  const arcs: { from: number; to: number; cost: Cost }[] = [];
  const end = input.households.length;
  const gives = input.households.map((_, h) => dishes.map((dish) => wish(h, dish, -1)));
  const takes = input.households.map((_, h) => dishes.map((dish) => wish(h, dish, 1)));
  deviation.forEach((value, h) => {
    const [off, step] = [scaled(value), scaled(size)];
    arcs.push({ from: h, to: end, cost: [step * (2n * off + step), 0, 0, 0] });
    const isHolding = input.lots.some((_, l) => shown.movable(h, l) > 0);
    if (isHolding) arcs.push({ from: end, to: h, cost: [step * (step - 2n * off), 0, 0, 0] });
    dishes.forEach((dish, d) => {
      const has = input.lots.some((lot, l) => lot.dish === dish && shown.movable(h, l) > 0);
      for (let other = 0; has && other < end; other++) {
        if (other === h || !shown.eats(other, dish)) continue;
        arcs.push({ from: h, to: other, cost: plus(gives[h]?.[d] ?? none, takes[other]?.[d] ?? none) });
      }
    });
  });
  return !hasNegativeCircle(arcs, end + 1);
}

const none: Cost = [0n, 0, 0, 0];

function hasNegativeCircle(arcs: readonly { from: number; to: number; cost: Cost }[], nodes: number): boolean {
  const far = Array.from({ length: nodes }, () => none);
  for (let turn = 0; turn < nodes; turn++) {
    let changed = false;
    for (const { from, to, cost } of arcs) {
      const there = plus(far[from] ?? none, cost);
      if (!isLess(there, far[to] ?? none)) continue;
      far[to] = there;
      changed = true;
    }
    if (!changed) return false;
  }
  return true;
}

const everyWish = (shown: Shown, isFine: (h: number, dish: string) => boolean): boolean =>
  shown.input.households.every((_, h) => shown.dishes.every((dish) => isFine(h, dish)));

function hasOnlyHeldRefused(shown: Shown): boolean {
  return shown.input.households.every(({ refuses }, h) =>
    shown.input.lots.every(({ dish }, l) => !refuses.has(dish) || shown.movable(h, l) === 0),
  );
}

function isInside(shown: Shown): boolean {
  return everyWish(shown, (h, dish) => {
    const [least, most] = shown.fairShare(h, dish);
    const count = shown.ofDish(h, dish);
    return count >= least && count <= most;
  });
}

const marks: Record<string, (shown: Shown) => boolean> = {
  unallotted: isAllAllotted,
  squaredDeviation: (shown) => isWithinWindow(shown) || isNearest(shown),
  refused: (shown) => hasOnlyHeldRefused(shown) || hasNoBetterCircle(shown),
  outsideFairShare: (shown) => isInside(shown) || hasNoBetterCircle(shown),
  score: (shown) =>
    everyWish(shown, (h, dish) => (shown.input.households[h]?.scores.get(dish) ?? 0) === 0) || hasNoBetterCircle(shown),
};

const names = Object.keys(marks);
const standings = ['shown', 'searched', 'open'];

/** Whether a bound of an open stage leaves the value that was reached. */
function isBoundSound({ objective }: ShareOutOutput, stage: string, bound: string): boolean {
  const value: unknown = Object.hasOwn(objective, stage) ? Reflect.get(objective, stage) : undefined;
  const [reached, limit] = [claimedNumber(String(value)), claimedNumber(bound)];
  if (!reached || !limit) return false;
  return stage === 'score' ? cmp(limit, reached) >= 0 : cmp(limit, reached) <= 0;
}

/** Whether the words about the proof fit one another: every stage once and in order, and optimal exactly when none is open. */
function isToldRight(output: ShareOutOutput): boolean {
  const { proof, stages } = output;
  if (!['optimal', 'bounded', 'constructive'].includes(proof)) return false;
  // Results from before the stages were told never claim more than a construction.
  if (stages === undefined) return proof === 'constructive';
  const isEach = stages.length === names.length && stages.every(({ stage }, i) => stage === names[i]);
  const areWords = stages.every(({ proof: standing }) => standings.includes(standing));
  const areBounds = stages.every(
    ({ stage, proof: standing, bound }) =>
      bound === undefined || (standing === 'open' && isBoundSound(output, stage, bound)),
  );
  const isOpen = stages.some(({ proof: standing }) => standing === 'open');
  return isEach && areWords && areBounds && isOpen === (proof !== 'optimal');
}

/**
 * The stages that a share-out says are shown to be the best, but whose mark does not hold; `proof` stands for what is said of the proof not fitting
 * together, such as a claim to be optimal while a stage is open. The marks need no search: see isAllAllotted, isNearestByUnits, hasNoBetterCircle.
 */
export function stagesNotShown(input: ShareOutInput, output: ShareOutOutput): string[] {
  const shown = new Shown(input, output);
  const claimed = (output.stages ?? []).filter(({ proof }) => proof === 'shown').map(({ stage }) => stage);
  return [...claimed.filter((stage) => !marks[stage]?.(shown)), ...(isToldRight(output) ? [] : ['proof'])];
}
