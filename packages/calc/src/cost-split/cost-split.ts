import { allocateWithCarry, settleCarried, snapCarried } from '../allocation/carry.ts';
import type { Wholes } from '../allocation/largest-remainder.ts';
import { exactShares, wholesRecord } from '../allocation/largest-remainder.ts';
import { nestedShares } from '../allocation/nested.ts';
import { byCodeUnits, sortedRecord } from '../canonical.ts';
import type { Rational } from '../rational.ts';
import { add, format, isZero, rational, sub, zero } from '../rational.ts';
import type { CostLine, CostSplitInput, Fees } from './cost-split-input.ts';
import { readCostSplit } from './cost-split-input.ts';

/** Who pays what, in minor units, and what rounding left over for the next receipt. */
export interface CostSplit {
  /** Line to household to minor units; each line sums to its amount. */
  amounts: Map<string, Wholes>;
  /** The receipt's fees by household, if there are any. */
  fees?: Wholes;
  /** Whole units moved between households because earlier rounding had added up; sums to nil, mostly empty. */
  rounding: Wholes;
  /** Everything together by household. */
  totals: Wholes;
  /** What each household should still pay (positive) or has paid too much (negative), less than one minor unit. */
  carriedAfter: Map<string, Rational>;
  /** What the snap of long fractions left for the common account, nearly always nil. */
  common: Rational;
}

const feeShares = (fees: Fees): Map<string, Rational> =>
  fees.method === 'nested' ? nestedShares(fees.needs) : exactShares(fees.amount, fees.weights);

/** Charges first, then what refers to one, each by id: the order in which the lines were written must not matter. */
const inOrder = (lines: readonly CostLine[]): CostLine[] =>
  [...lines].sort((a, b) => Number(refers(a)) - Number(refers(b)) || byCodeUnits(a.id, b.id));
const refers = ({ refundOf, adjusts }: CostLine): boolean => refundOf !== undefined || adjusts !== undefined;

const sumOf = (amounts: Wholes): bigint => [...amounts.values()].reduce((a, b) => a + b, 0n);

/** A full refund gives back what was charged, to the unit, and takes the charge's rounding out of the carry again. */
function mirror(line: CostLine, charged: Wholes, carried: Map<string, Rational>): Wholes {
  const amounts: Wholes = new Map([...charged].map(([id, amount]) => [id, -amount]));
  const exact = exactShares(line.amount, line.shares);
  for (const id of new Set([...exact.keys(), ...amounts.keys()])) {
    const after = sub(add(carried.get(id) ?? zero, exact.get(id) ?? zero), rational(amounts.get(id) ?? 0n));
    carried.set(id, after);
  }
  return amounts;
}

/**
 * Who pays what, to the last minor unit.
 * Method: each line's exact shares plus what is carried, rounded once per line by largest remainder (allocateWithCarry); equal remainders by lot from
 * the line's id. A refund of a whole charge is its exact mirror, so charge and refund together leave everything as it was; a part of one is a
 * negative line with the same shares. Fees by weight, or by the airport rule (nestedShares). At the end whole units that carried amounts have
 * added up to are moved between households (settleCarried), shown as `rounding`.
 * Proof that nobody drifts by a unit over any number of receipts: carried + paid - exact share stays the same for every household in every step, and
 * carried sums to nil over all households, which every step keeps; settleCarried then ends with every carried amount below one in size. So what
 * a household has paid in all differs from its exact shares in all by less than one minor unit after every receipt, however the shares
 * change. (Rounding within a line alone cannot promise this: two households that both come with 9/10 and share a line take 18/10 along.)
 * `lines`: amounts in minor units of any sign with weights; `carried`: of the last receipt, summing to nil. Gives amounts that sum to the line's
 * amount, only for those who share it; totals that sum to the receipt; carriedAfter with the sum of carried, except what `common` says.
 * Fractions with a denominator of more than 24 digits are kept in millionths of a millionth of a minor unit from then on (snapCarried), which
 * keeps their sum; that is the only inexactness.
 */
export function splitCosts({ lines, carried, fees }: CostSplitInput): CostSplit {
  const amounts = new Map<string, Wholes>();
  let running = new Map(carried);
  for (const line of inOrder(lines)) {
    const charged = line.charged ?? amounts.get(line.refundOf ?? '');
    if (line.refundOf !== undefined && charged && sumOf(charged) === -line.amount) {
      amounts.set(line.id, mirror(line, charged, running));
      continue;
    }
    const step = allocateWithCarry(exactShares(line.amount, line.shares), running, `line ${line.id}`);
    amounts.set(line.id, step.amounts);
    running = step.carried;
  }
  const feeStep = fees && allocateWithCarry(feeShares(fees), running, `fees ${JSON.stringify([...amounts.keys()])}`);
  const seed = `rounding ${JSON.stringify([...amounts.keys()])}`;
  const snapped = snapCarried(feeStep?.carried ?? running, seed);
  const settled = settleCarried(snapped.carried, seed);
  const totals: Wholes = new Map();
  for (const part of [...amounts.values(), feeStep?.amounts ?? [], settled.moved]) {
    for (const [id, amount] of part) totals.set(id, (totals.get(id) ?? 0n) + amount);
  }
  return {
    amounts,
    fees: feeStep?.amounts,
    rounding: settled.moved,
    totals,
    carriedAfter: settled.carried,
    common: snapped.common,
  };
}

/** The JSON form of a cost split; `fees`, `rounding` and `common` only where there are any. */
export interface CostSplitOutput {
  amounts: Record<string, Record<string, string>>;
  fees?: Record<string, string>;
  rounding?: Record<string, string>;
  totals: Record<string, string>;
  carriedAfter: Record<string, string>;
  common?: string;
}

/**
 * The command `cost-split`: splitCosts from JSON to JSON (readCostSplit says what is read). Money is text of minor units, fractions are text.
 * Throws `invalid-input` with every fault and its pointer.
 */
export function costSplit(input: unknown): CostSplitOutput {
  const { amounts, fees, rounding, totals, carriedAfter, common } = splitCosts(readCostSplit(input));
  return {
    amounts: sortedRecord([...amounts].map(([line, split]) => [line, wholesRecord(split)] as const)),
    ...(fees ? { fees: wholesRecord(fees) } : {}),
    ...(rounding.size > 0 ? { rounding: wholesRecord(rounding) } : {}),
    totals: wholesRecord(totals),
    carriedAfter: sortedRecord([...carriedAfter].map(([id, value]) => [id, format(value)] as const)),
    ...(isZero(common) ? {} : { common: format(common) }),
  };
}
