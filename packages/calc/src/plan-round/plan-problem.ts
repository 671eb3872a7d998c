import { DomainError } from '../domain-error.ts';
import { invalidInput } from '../input.ts';
import type { Rational } from '../rational.ts';
import { add, ceil, div, floor, min, mul, rational, sum } from '../rational.ts';
import { commonDenominator, scaled } from '../share-out/scale.ts';
import type { PlanDish, PlanHousehold, PlanRoundInput } from './plan-round-input.ts';

/** A limit: what each batch takes of it, what a dish takes however many batches, and how much there is. */
export interface Limit {
  readonly name: 'at-hand' | 'minutes' | 'pots' | 'freezer' | 'dishes' | 'beyond';
  /** the ingredient of `at-hand` */
  readonly of?: string;
  readonly perBatch: readonly number[];
  readonly fixed: readonly number[];
  readonly most: number;
}

/** Households that may eat the same, taken together: their portions, or how many different dishes they would like. */
export interface Group {
  /** dish to whether they get it */
  readonly gets: readonly boolean[];
  readonly parts: number;
  readonly households: number;
  readonly variety: number;
}

/** A plan in whole numbers: portions count in parts, an ingredient at hand in steps. */
export interface PlanProblem {
  readonly seed: string;
  readonly ids: readonly string[];
  readonly partsPerPortion: bigint;
  /** parts in one batch, parts in one container */
  readonly parts: readonly number[];
  readonly container: readonly number[];
  readonly wantedParts: number;
  readonly least: readonly number[];
  readonly most: readonly number[];
  readonly limits: readonly Limit[];
  readonly hand: readonly {
    readonly ingredient: string;
    readonly perBatch: readonly number[];
    readonly steps: number;
  }[];
  /** who must not get what; who must or would rather not; the same with how much variety is wished */
  readonly eating: readonly Group[];
  readonly willing: readonly Group[];
  readonly varied: readonly Group[];
  /** dish to how many households ask for it and may get it */
  readonly wishers: readonly number[];
  /** minor units by dish; undefined where one of them is not known */
  readonly cost?: readonly number[];
}

const greatest = BigInt(Number.MAX_SAFE_INTEGER);

function tooLarge(pointer: string): DomainError {
  const detail = 'The figures are too large or too finely divided to be reckoned with exactly.';
  return new DomainError('too-large', detail, { errors: [{ pointer, detail }] });
}

/** Whole numbers that stay exact when a thousand batches of two hundred dishes are added up. */
function safe(values: readonly bigint[], pointer: string): number[] {
  if (values.some((value) => value * 200_000n > greatest)) throw tooLarge(pointer);
  return values.map(Number);
}

function groupsOf(
  input: PlanRoundInput,
  parts: readonly number[],
  isLeft: (household: PlanHousehold, dish: string) => boolean,
  keyOf: (household: PlanHousehold) => number,
): Group[] {
  const groups = new Map<string, Group>();
  input.households.forEach((household, index) => {
    const gets = input.dishes.map(({ id }) => !isLeft(household, id));
    const variety = keyOf(household);
    const key = `${variety} ${gets.map((is) => (is ? '1' : '0')).join('')}`;
    const known = groups.get(key) ?? { gets, parts: 0, households: 0, variety };
    groups.set(key, {
      ...known,
      parts: known.parts + (parts[index] ?? 0),
      households: known.households + 1,
    });
  });
  return [...groups.values()];
}

function handOf({ dishes, atHand }: PlanRoundInput): { hand: PlanProblem['hand']; limits: Limit[] } {
  const hand = atHand.map(({ ingredient, quantity }) => {
    const uses = dishes.map((dish) => dish.uses.get(ingredient) ?? rational(0n));
    const d = commonDenominator([...uses, quantity]);
    const whole = [...uses, quantity].map((value) => scaled(value, d));
    const numbers = safe(whole, '#/atHand');
    return { ingredient, perBatch: numbers.slice(0, -1), steps: numbers.at(-1) ?? 0 };
  });
  const limits = hand.map(({ ingredient, perBatch, steps }): Limit => {
    return { name: 'at-hand', of: ingredient, perBatch, fixed: perBatch.map(() => 0), most: steps };
  });
  return { hand, limits };
}

function kitchenLimits({ dishes, kitchen }: PlanRoundInput): Limit[] {
  const none = dishes.map(() => 0);
  const limit = (
    name: Limit['name'],
    most: number | undefined,
    perBatch: readonly number[],
    fixed: readonly number[] = none,
  ): Limit[] => (most === undefined ? [] : [{ name, perBatch, fixed, most }]);
  const of = (member: 'minutes' | 'fixedMinutes' | 'pots' | 'freezerMl'): number[] =>
    dishes.map((dish) => dish[member]);
  return [
    ...limit('minutes', kitchen.minutes, of('minutes'), of('fixedMinutes')),
    ...limit('pots', kitchen.pots, of('pots')),
    ...limit('freezer', kitchen.freezerMl, of('freezerMl')),
    ...limit(
      'dishes',
      kitchen.dishes,
      none,
      none.map(() => 1),
    ),
  ];
}

/** What a limit is used by these batches. */
export function usedOf({ perBatch, fixed }: Limit, batches: readonly number[]): number {
  return batches.reduce((used, n, d) => used + n * (perBatch[d] ?? 0) + (n > 0 ? (fixed[d] ?? 0) : 0), 0);
}

/** No more batches of a dish serve anything: enough for everybody by itself, a container for each household, and all that is at hand used. */
function mostOf(dish: PlanDish, input: PlanRoundInput, wanted: Rational, hand: PlanRoundInput['atHand']): number {
  const households = rational(BigInt(input.households.length));
  const covering = ceil(div(wanted, dish.portions));
  const varied = ceil(div(mul(households, dish.container), dish.portions));
  const used = hand.flatMap(({ ingredient, quantity }) => {
    const each = dish.uses.get(ingredient);
    return each ? [div(quantity, each)] : [];
  });
  const enough = covering > varied ? covering : varied;
  // What uses something up may be made as often as there is of it; anything else only as often as somebody wants it.
  const sensible = used.length > 0 ? floor(used.reduce((a, b) => min(a, b))) : enough;
  const capped = sensible > BigInt(dish.atMost) ? BigInt(dish.atMost) : sensible;
  return Math.max(dish.atLeast, Number(capped));
}

/** Refuses what must be made when it does not fit by itself: since all limits are upper ones, then nothing fits. */
function refuseUnfit(input: PlanRoundInput, problem: PlanProblem): void {
  const over = problem.limits.find((limit) => usedOf(limit, problem.least) > limit.most);
  if (!over) return;
  const dish = input.dishes.find(
    ({ atLeast }, d) => atLeast > 0 && ((over.perBatch[d] ?? 0) > 0 || (over.fixed[d] ?? 0) > 0),
  );
  const of = over.of === undefined ? '' : ` of "${over.of}"`;
  const detail = `The batches that must be made do not fit: they take more than there is (${over.name}${of}).`;
  throw invalidInput([{ pointer: dish ? `#/dishes/${dish.at}/atLeast` : '#/dishes', detail }]);
}

/**
 * The whole numbers of a plan. Throws `too-large` when they would not stay exact, `invalid-input` when batches that must be made do not fit.
 */
export function planProblem(input: PlanRoundInput): PlanProblem {
  const { households, dishes, beyond } = input;
  const all = [
    ...households.map(({ portions }) => portions),
    ...dishes.flatMap(({ portions, container }) => [portions, container]),
    ...(beyond ? [beyond] : []),
  ];
  const partsPerPortion = commonDenominator(all);
  const inParts = (values: readonly Rational[], pointer: string): number[] =>
    safe(
      values.map((value) => scaled(value, partsPerPortion)),
      pointer,
    );
  const wanted = sum(households.map(({ portions }) => portions));
  const householdParts = inParts(
    households.map(({ portions }) => portions),
    '#/households',
  );
  const parts = inParts(
    dishes.map(({ portions }) => portions),
    '#/dishes',
  );
  const container = inParts(
    dishes.map(({ container: each }) => each),
    '#/dishes',
  );
  const wantedParts = householdParts.reduce((total, each) => total + each, 0);
  const { hand, limits } = handOf(input);
  const beyondLimit = (extra: Rational): Limit => {
    const [most = 0] = inParts([add(wanted, extra)], '#/beyond');
    return { name: 'beyond', perBatch: parts, fixed: parts.map(() => 0), most };
  };
  const excluded = ({ excludes }: PlanHousehold, dish: string): boolean => excludes.has(dish);
  const unwilling = ({ excludes, refuses }: PlanHousehold, dish: string): boolean =>
    excludes.has(dish) || refuses.has(dish);
  const hasCosts = dishes.length > 0 && dishes.every(({ cost }) => cost !== undefined);
  const problem: PlanProblem = {
    seed: input.seed,
    ids: dishes.map(({ id }) => id),
    ...{ partsPerPortion, parts, container, wantedParts, hand },
    least: dishes.map(({ atLeast }) => atLeast),
    most: dishes.map((dish) => mostOf(dish, input, wanted, input.atHand)),
    limits: [...limits, ...kitchenLimits(input), ...(beyond ? [beyondLimit(beyond)] : [])],
    eating: groupsOf(input, householdParts, excluded, () => 0),
    willing: groupsOf(input, householdParts, unwilling, () => 0),
    varied: groupsOf(input, householdParts, unwilling, ({ variety }) => variety).filter(({ variety }) => variety > 0),
    wishers: dishes.map(({ id }) => households.filter((each) => each.wishes.has(id) && !each.excludes.has(id)).length),
    ...(hasCosts
      ? {
          cost: safe(
            dishes.map(({ cost = 0n }) => cost),
            '#/dishes',
          ),
        }
      : {}),
  };
  refuseUnfit(input, problem);
  return problem;
}
