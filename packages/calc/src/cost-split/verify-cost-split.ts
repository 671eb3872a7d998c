import type { Rational } from '../rational.ts';
import { abs, add, cmp, eq, isZero, mul, one, rational, sub, sum, tryParse, zero } from '../rational.ts';
import type { CostLine, CostSplitInput, Fees } from './cost-split-input.ts';
import { readCostSplit } from './cost-split-input.ts';
import type { CostSplitOutput } from './cost-split.ts';

/** One thing that a cost split gets wrong: what, of which line and whose. */
export interface CostSplitViolation {
  code:
    | 'unknown-line'
    | 'not-an-amount'
    | 'unknown-household'
    | 'line-does-not-add-up'
    | 'not-mirrored'
    | 'could-be-nearer'
    | 'fees-wrong'
    | 'rounding-wrong'
    | 'total-wrong'
    | 'carried-wrong'
    | 'common-wrong';
  line?: string;
  household?: string;
}

type Report = (code: CostSplitViolation['code'], where?: Omit<CostSplitViolation, 'code'>) => void;
type Amounts = ReadonlyMap<string, bigint>;
type Running = Map<string, Rational>;

const snap = rational(1n, 10n ** 12n);
const amountText = /^(0|-?[1-9]\d{0,24})$/;
const refers = ({ refundOf, adjusts }: CostLine): boolean => refundOf !== undefined || adjusts !== undefined;
const total = (amounts: Amounts): bigint => [...amounts.values()].reduce((a, b) => a + b, 0n);

/** What each should pay of an amount by weight, by the definition. */
function parts(amount: bigint, weights: ReadonlyMap<string, Rational>): Map<string, Rational> {
  const all = sum(weights.values());
  return new Map([...weights].map(([id, weight]) => [id, mul(weight, rational(amount * all.d, all.n))]));
}

/** What each should pay of costs that contain one another: every unit is shared equally by those who need as much. */
function needed(needs: ReadonlyMap<string, bigint>): Map<string, Rational> {
  const steps = [...new Set([0n, ...needs.values()])].sort((a, b) => (a < b ? -1 : 1));
  const due = new Map([...needs.keys()].map((id) => [id, zero]));
  steps.slice(1).forEach((top, i) => {
    const users = [...needs].filter(([, need]) => need >= top).map(([id]) => id);
    const part = rational(top - (steps[i] ?? 0n), BigInt(users.length));
    for (const id of users) due.set(id, add(due.get(id) ?? zero, part));
  });
  return due;
}

const feeParts = (fees: Fees): Map<string, Rational> =>
  fees.method === 'nested' ? needed(fees.needs) : parts(fees.amount, fees.weights);

function amountsOf(
  given: Readonly<Record<string, string>>,
  sharers: ReadonlySet<string>,
  where: { line?: string },
  report: Report,
): Map<string, bigint> {
  const amounts = new Map<string, bigint>();
  for (const [household, text] of Object.entries(given)) {
    if (!sharers.has(household)) report('unknown-household', { ...where, household });
    if (typeof text !== 'string' || !amountText.test(text)) report('not-an-amount', { ...where, household });
    else amounts.set(household, BigInt(text));
  }
  for (const household of sharers) if (!amounts.has(household)) report('not-an-amount', { ...where, household });
  return amounts;
}

/**
 * Moves what is carried on by one rounded step. It is a division by largest remainder when, and only when, no unit could go from one to another and
 * leave both carrying less: nobody carries more than one unit more than anybody else who shares.
 */
function step(exact: ReadonlyMap<string, Rational>, amounts: Amounts, running: Running): boolean {
  const after = [...exact].map(([id, part]): [string, Rational] => [
    id,
    sub(add(part, running.get(id) ?? zero), rational(amounts.get(id) ?? 0n)),
  ]);
  for (const [id, carried] of after) running.set(id, carried);
  return after.every(([, a]) => after.every(([, b]) => cmp(sub(a, b), one) <= 0));
}

function checkLines({ lines }: CostSplitInput, output: CostSplitOutput, running: Running, report: Report): Amounts[] {
  const seen = new Map<string, Amounts>();
  const order = [...lines].sort((a, b) => Number(refers(a)) - Number(refers(b)) || (a.id < b.id ? -1 : 1));
  for (const line of order) {
    const where = { line: line.id };
    const charged = line.charged ?? seen.get(line.refundOf ?? '');
    const isMirror = line.refundOf !== undefined && charged !== undefined && total(charged) === -line.amount;
    const given = Object.hasOwn(output.amounts, line.id) ? output.amounts[line.id] : undefined;
    const sharers = new Set(isMirror ? charged.keys() : line.shares.keys());
    const amounts = amountsOf(given ?? {}, sharers, where, report);
    seen.set(line.id, amounts);
    if (total(amounts) !== line.amount) report('line-does-not-add-up', where);
    const exact = parts(line.amount, line.shares);
    if (isMirror) {
      for (const [household, amount] of charged)
        if (amounts.get(household) !== -amount) report('not-mirrored', { ...where, household });
      for (const household of charged.keys()) if (!exact.has(household)) exact.set(household, zero);
      step(exact, amounts, running);
    } else if (!step(exact, amounts, running)) report('could-be-nearer', where);
  }
  for (const line of Object.keys(output.amounts)) if (!seen.has(line)) report('unknown-line', { line });
  return [...seen.values()];
}

function checkFees({ fees }: CostSplitInput, output: CostSplitOutput, running: Running, report: Report): Amounts {
  if (!fees || !output.fees) {
    if (Boolean(fees) !== Boolean(output.fees)) report('fees-wrong');
    return new Map();
  }
  const exact = feeParts(fees);
  const amounts = amountsOf(output.fees, new Set(exact.keys()), {}, report);
  const all = sum(exact.values());
  if (!eq(all, rational(total(amounts))) || !step(exact, amounts, running)) report('fees-wrong');
  return amounts;
}

/** Whole units move between households only when what is carried has added up to one, and then leave everybody below one. */
function checkRounding(output: CostSplitOutput, running: Running, report: Report): Amounts {
  const { rounding } = output;
  const needs = [...running.values()].some((carried) => cmp(abs(carried), one) >= 0);
  if (!rounding) {
    if (needs && isZero(sum(running.values()))) report('rounding-wrong');
    return new Map();
  }
  const moved = amountsOf(rounding, new Set(Object.keys(rounding)), {}, report);
  if (!needs || total(moved) !== 0n || [...moved.values()].some((units) => units === 0n)) report('rounding-wrong');
  for (const [household, units] of moved) {
    const before = running.get(household);
    if (before === undefined) report('unknown-household', { household });
    // Who takes a unit over was carrying more than who gives one up.
    const others = [...moved].filter(([, other]) => other < 0n !== units < 0n).map(([id]) => running.get(id) ?? zero);
    if (units > 0n && others.some((other) => cmp(before ?? zero, other) <= 0)) report('rounding-wrong', { household });
    running.set(household, sub(before ?? zero, rational(units)));
  }
  return moved;
}

function checkCarried(output: CostSplitOutput, running: Running, report: Report): void {
  const said = new Map<string, Rational>();
  for (const [household, text] of Object.entries(output.carriedAfter)) {
    const value = typeof text === 'string' ? tryParse(text) : undefined;
    if (value === undefined || !running.has(household)) report('carried-wrong', { household });
    else said.set(household, value);
  }
  const isExact = [...running].every(([id, value]) => eq(said.get(id) ?? add(value, one), value));
  const isSnapped = [...running].every(([id, value]) => {
    const kept = said.get(id);
    return kept !== undefined && 10n ** 12n % kept.d === 0n && cmp(abs(sub(kept, value)), snap) < 0;
  });
  if (!isExact && !isSnapped) {
    const off = [...running].filter(([id, value]) => !eq(said.get(id) ?? add(value, one), value));
    for (const [household] of off) report('carried-wrong', { household });
  }
  const isNil = isZero(sum(running.values()));
  for (const [household, value] of said) if (isNil && cmp(abs(value), one) >= 0) report('carried-wrong', { household });
  const left = sub(sum(running.values()), sum(said.values()));
  const common = output.common === undefined ? zero : tryParse(output.common);
  if (!common || (output.common !== undefined && isZero(common)) || !eq(common, left)) report('common-wrong');
}

/**
 * Checks a cost split from its input and output alone, by definitions instead of by dividing again: it shares no code with splitCosts but the reading of
 * the input and the arithmetic of fractions.
 * Checks: every line sums to its amount and is paid only by those who share it; no unit of a line or of the fees could go to somebody else and leave both
 * carrying less, which is the mark of largest remainders; a full refund mirrors its charge; units move between households only when carried amounts have
 * added up; totals, carriedAfter and common are what they are defined to be. Between equal remainders any choice is as good; the lot is not drawn again.
 * `given`, `output`: as JSON. Gives every violation, an empty list when there is none. Throws `invalid-input` when the input cannot be read.
 */
export function verifyCostSplit(given: unknown, output: CostSplitOutput): CostSplitViolation[] {
  const input = readCostSplit(given);
  const violations: CostSplitViolation[] = [];
  const report: Report = (code, where = {}) => void violations.push({ code, ...where });
  const running: Running = new Map(input.carried);
  const lines = checkLines(input, output, running, report);
  const fees = checkFees(input, output, running, report);
  const moved = checkRounding(output, running, report);
  const totals = new Map<string, bigint>();
  for (const part of [...lines, fees, moved])
    for (const [id, amount] of part) totals.set(id, (totals.get(id) ?? 0n) + amount);
  const said = amountsOf(output.totals, new Set(totals.keys()), {}, report);
  for (const [household, amount] of totals) if (said.get(household) !== amount) report('total-wrong', { household });
  checkCarried(output, running, report);
  return violations;
}
