import type { Rational } from '../rational.ts';
import {
  add,
  cmp,
  div,
  eq,
  floor,
  isInteger,
  isZero,
  max,
  min,
  mul,
  rational,
  sub,
  sum,
  tryParse,
  zero,
} from '../rational.ts';
import type { PlanDish, PlanHousehold, PlanRoundInput } from './plan-round-input.ts';
import { readPlanRound } from './plan-round-input.ts';
import type { PlanRoundOutput } from './plan-round.ts';

/** One thing that a plan gets wrong: what, and of which dish, household, ingredient or limit. */
export interface PlanRoundViolation {
  code:
    | 'unknown-dish'
    | 'not-a-count'
    | 'batches-out-of-bounds'
    | 'limit-broken'
    | 'portions-wrong'
    | 'short-wrong'
    | 'unwilling-wrong'
    | 'variety-wrong'
    | 'wishes-wrong'
    | 'cost-wrong'
    | 'left-wrong'
    | 'fits-wrong'
    | 'bound-wrong'
    | 'proof-unknown';
  where?: string;
}

type Report = (code: PlanRoundViolation['code'], where?: string) => void;
type CountOf = (dish: PlanDish) => number;

const times = (value: Rational, count: number): Rational => mul(value, rational(BigInt(count)));

const is = (text: string | undefined, expected: Rational): boolean => {
  const [n = '', d = '1'] = (text ?? '').split('/');
  const found = /^-?\d+$/.test(n) && /^[1-9]\d*$/.test(d) ? rational(BigInt(n), BigInt(d)) : tryParse(text ?? '');
  return found !== undefined && eq(found, expected);
};

/**
 * The most that can be handed from givers to takers along the pairs that are allowed, by one path after the other that hands more (Ford and Fulkerson);
 * `edge`: the most between one pair.
 */
function mostHanded(
  gives: readonly Rational[],
  takes: readonly Rational[],
  edge: (giver: number, taker: number) => Rational,
): Rational {
  const handed = gives.map(() => takes.map(() => zero));
  const [left, open] = [[...gives], [...takes]];
  const room = (g: number, t: number): Rational => sub(edge(g, t), handed[g]?.[t] ?? zero);
  const change = (g: number, t: number, by: Rational): void => {
    const row = handed[g];
    if (row) row[t] = add(row[t] ?? zero, by);
  };
  let total = zero;
  for (;;) {
    const giverOf = new Map<number, number>();
    const takerOf = new Map<number, number>();
    const queue = left.flatMap((amount, g) => (isZero(amount) ? [] : [g]));
    const seen = new Set(queue);
    let end: number | undefined;
    for (const g of queue) {
      for (let t = 0; t < open.length && end === undefined; t++) {
        if (giverOf.has(t) || cmp(room(g, t), zero) <= 0) continue;
        giverOf.set(t, g);
        if (!isZero(open[t] ?? zero)) end = t;
        gives.forEach((_, back) => {
          if (seen.has(back) || isZero(handed[back]?.[t] ?? zero)) return;
          seen.add(back);
          takerOf.set(back, t);
          queue.push(back);
        });
      }
      if (end !== undefined) break;
    }
    if (end === undefined) return total;
    const path: [giver: number, taker: number, by: 1 | -1][] = [];
    let first = giverOf.get(end) ?? 0;
    path.push([first, end, 1]);
    for (let t = takerOf.get(first); t !== undefined; t = takerOf.get(first)) {
      path.push([first, t, -1]);
      first = giverOf.get(t) ?? 0;
      path.push([first, t, 1]);
    }
    const amount = path.reduce(
      (least, [g, t, by]) => min(least, by > 0 ? room(g, t) : (handed[g]?.[t] ?? zero)),
      min(left[first] ?? zero, open[end] ?? zero),
    );
    for (const [g, t, by] of path) change(g, t, by > 0 ? amount : sub(zero, amount));
    left[first] = sub(left[first] ?? zero, amount);
    open[end] = sub(open[end] ?? zero, amount);
    total = add(total, amount);
  }
}

function checkCounts({ dishes }: PlanRoundInput, { batches }: PlanRoundOutput, report: Report): void {
  const known = new Map(dishes.map((dish) => [dish.id, dish]));
  for (const [id, count] of Object.entries(batches)) {
    if (!known.has(id)) report('unknown-dish', id);
    if (!Number.isSafeInteger(count) || count <= 0) report('not-a-count', id);
  }
  for (const { id, atLeast, atMost } of dishes) {
    const count = batches[id] ?? 0;
    if (count < atLeast || count > atMost) report('batches-out-of-bounds', id);
  }
}

function checkLimits(
  { dishes, kitchen, atHand, households, beyond }: PlanRoundInput,
  countOf: CountOf,
  report: Report,
): void {
  const total = (worth: (dish: PlanDish) => number): number =>
    dishes.reduce((all, dish) => all + worth(dish) * countOf(dish), 0);
  const made = dishes.filter((dish) => countOf(dish) > 0);
  const fixed = made.reduce((all, { fixedMinutes }) => all + fixedMinutes, 0);
  const within = (name: string, used: number, most: number | undefined): void => {
    if (most !== undefined && used > most) report('limit-broken', name);
  };
  within('minutes', total(({ minutes }) => minutes) + fixed, kitchen.minutes);
  within(
    'pots',
    total(({ pots }) => pots),
    kitchen.pots,
  );
  within(
    'freezer',
    total(({ freezerMl }) => freezerMl),
    kitchen.freezerMl,
  );
  within('dishes', made.length, kitchen.dishes);
  for (const { ingredient, quantity } of atHand) {
    const used = sum(dishes.map((dish) => times(dish.uses.get(ingredient) ?? zero, countOf(dish))));
    if (cmp(used, quantity) > 0) report('limit-broken', ingredient);
  }
  if (!beyond) return;
  const portions = sum(dishes.map((dish) => times(dish.portions, countOf(dish))));
  if (cmp(portions, add(sum(households.map((each) => each.portions)), beyond)) > 0) report('limit-broken', 'beyond');
}

function checkPortions(input: PlanRoundInput, output: PlanRoundOutput, countOf: CountOf, report: Report): void {
  const { households, dishes } = input;
  const gives = dishes.map((dish) => times(dish.portions, countOf(dish)));
  const takes = households.map(({ portions }) => portions);
  const [made, wanted] = [sum(gives), sum(takes)];
  const lack = (isLeft: (household: PlanHousehold, dish: string) => boolean): Rational => {
    const edge = (g: number, t: number): Rational => {
      const [household, dish] = [households[t], dishes[g]];
      return household && dish && !isLeft(household, dish.id) ? made : zero;
    };
    return sub(wanted, mostHanded(gives, takes, edge));
  };
  const short = lack(({ excludes }, dish) => excludes.has(dish));
  const unwilling = lack(({ excludes, refuses }, dish) => excludes.has(dish) || refuses.has(dish));
  if (!is(output.portions, made) || !is(output.wanted, wanted)) report('portions-wrong');
  if (!is(output.short, short)) report('short-wrong');
  if (!is(output.unwilling, sub(unwilling, short))) report('unwilling-wrong');
  if (!is(output.beyond, sub(add(made, short), wanted))) report('portions-wrong', 'beyond');
}

function checkVariety(
  { households, dishes }: PlanRoundInput,
  output: PlanRoundOutput,
  countOf: CountOf,
  report: Report,
): void {
  const containers = dishes.map((dish) => rational(floor(div(times(dish.portions, countOf(dish)), dish.container))));
  const liked = households.map(({ variety }) => rational(BigInt(variety)));
  const edge = (g: number, t: number): Rational => {
    const [household, dish] = [households[t], dishes[g]];
    const isLeft = !household || !dish || household.excludes.has(dish.id) || household.refuses.has(dish.id);
    return isLeft ? zero : rational(1n);
  };
  if (!is(String(output.varietyShort), sub(sum(liked), mostHanded(containers, liked, edge)))) report('variety-wrong');
  const unmet = dishes.map(({ id }, d) => {
    const wished = households.filter(({ wishes, excludes }) => wishes.has(id) && !excludes.has(id)).length;
    return max(zero, sub(rational(BigInt(wished)), containers[d] ?? zero));
  });
  if (!is(String(output.wishesUnmet), sum(unmet))) report('wishes-wrong');
}

function checkFigures(input: PlanRoundInput, output: PlanRoundOutput, countOf: CountOf, report: Report): void {
  const { dishes, atHand, households } = input;
  const isPriced = dishes.length > 0 && dishes.every(({ cost }) => cost !== undefined);
  const cost = sum(dishes.map((dish) => times(rational(dish.cost ?? 0n), countOf(dish))));
  if (isPriced ? !is(output.cost, cost) : output.cost !== undefined) report('cost-wrong');
  for (const { ingredient, quantity, pack } of atHand) {
    const said = output.left[ingredient];
    const used = sum(dishes.map((dish) => times(dish.uses.get(ingredient) ?? zero, countOf(dish))));
    const left = sub(quantity, used);
    const opened = tryParse(said?.opened ?? '') ?? zero;
    const whole = div(sub(left, opened), pack);
    const isSound = is(said?.quantity, left) && is(said?.packs, whole) && isInteger(whole);
    if (!isSound || cmp(opened, zero) < 0 || cmp(opened, pack) >= 0) report('left-wrong', ingredient);
  }
  for (const { id, excludes } of households) {
    const eaten = dishes.filter((dish) => countOf(dish) > 0 && !excludes.has(dish.id));
    const portions = sum(eaten.map((dish) => times(dish.portions, countOf(dish))));
    const said = output.fits[id];
    if (said?.dishes !== eaten.length || !is(said.portions, portions)) report('fits-wrong', id);
  }
  const ids = new Set([...households.map(({ id }) => id), ...atHand.map(({ ingredient }) => ingredient)]);
  for (const id of [...Object.keys(output.left), ...Object.keys(output.fits)])
    if (!ids.has(id)) report('fits-wrong', id);
}

function checkBound({ bound, proof, ...output }: PlanRoundOutput, report: Report): void {
  if (!['optimal', 'bounded', 'constructive'].includes(proof)) report('proof-unknown');
  if ((proof === 'bounded') !== (bound !== undefined)) report('bound-wrong');
  if (!bound) return;
  const atLeast = tryParse(bound.atLeast);
  const said: Record<string, string | undefined> = {
    short: output.short,
    left: output.left[bound.of ?? '']?.quantity,
    variety: String(output.varietyShort),
    wishes: String(output.wishesUnmet),
    cost: output.cost,
    portions: output.portions,
    batches: String(Object.values(output.batches).reduce((a, b) => a + b, 0)),
  };
  const value = bound.aim === 'unwilling' ? sumOf(output.unwilling, output.short) : tryParse(said[bound.aim] ?? '');
  if (!atLeast || !value || cmp(atLeast, value) > 0) report('bound-wrong', bound.aim);
}

const sumOf = (a: string, b: string): Rational => add(tryParse(a) ?? zero, tryParse(b) ?? zero);

/**
 * Checks a plan from its input and output alone: it shares no code with the search but the reading of the input and the arithmetic of fractions.
 * Checks: batches are whole, known and within their bounds, no limit is broken, and every figure that is said follows from the batches (portions short and
 * unwilling by a greatest handing-over of its own). That no better plan exists is not checked here: it has no short proof.
 * `input`, `output`: as JSON. Gives every violation, an empty list when there is none. Throws as readPlanRound does.
 */
export function verifyPlanRound(input: unknown, output: PlanRoundOutput): PlanRoundViolation[] {
  const problem = readPlanRound(input);
  const violations: PlanRoundViolation[] = [];
  const report: Report = (code, where) => void violations.push({ code, ...(where === undefined ? {} : { where }) });
  checkCounts(problem, output, report);
  // With counts that are none, nothing below can be computed.
  if (violations.some(({ code }) => code === 'not-a-count')) return violations;
  const countOf: CountOf = ({ id }) => (Object.hasOwn(output.batches, id) ? (output.batches[id] ?? 0) : 0);
  checkLimits(problem, countOf, report);
  checkPortions(problem, output, countOf, report);
  checkVariety(problem, output, countOf, report);
  checkFigures(problem, output, countOf, report);
  checkBound(output, report);
  return violations;
}
