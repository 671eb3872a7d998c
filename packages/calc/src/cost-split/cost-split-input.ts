import type { InputFault } from '../domain-error.ts';
import type { Of, Read } from '../input.ts';
import {
  distinctIds,
  id,
  invalid,
  invalidInput,
  list,
  mapOf,
  minorUnits,
  notNegative,
  oneOf,
  optional,
  rational,
  readInput,
  record,
} from '../input.ts';
import type { Rational } from '../rational.ts';
import { rational as fraction } from '../rational.ts';

/** How a cost that belongs to the whole receipt is shared: by weight, or by the airport rule from what each household needs alone. */
export type Fees =
  | { method: 'weight'; amount: bigint; weights: Map<string, Rational> }
  | { method: 'nested'; needs: Map<string, bigint> };

/** One line of a receipt, with the shares it is split by; a refund also with what its charge had put on each household. */
export interface CostLine {
  id: string;
  amount: bigint;
  shares: Map<string, Rational>;
  refundOf?: string;
  adjusts?: string;
  /** Only for a refund of a line that is not in this input. */
  charged?: Map<string, bigint>;
}

export interface CostSplitInput {
  lines: readonly CostLine[];
  carried: ReadonlyMap<string, Rational>;
  fees?: Fees;
}

const weights = mapOf(notNegative(), { longest: 1000 });
const line = record({
  id: id(),
  amount: minorUnits(),
  shares: optional(weights),
  refundOf: optional(id()),
  adjusts: optional(id()),
  charged: optional(mapOf(minorUnits(), { longest: 1000 })),
});

const byWeight = record({ method: oneOf(['weight']), amount: minorUnits(), weights });
const nested = record({ method: oneOf(['nested']), needs: mapOf(minorUnits({ atLeast: 0n }), { longest: 1000 }) });

const fees: Read<Fees> = (value, place) => {
  const method: unknown = typeof value === 'object' && value !== null ? Reflect.get(value, 'method') : undefined;
  if (method === 'weight') return byWeight(value, place);
  if (method === 'nested') return nested(value, place);
  return record({ method: oneOf(['weight', 'nested']) })(value, place) === invalid
    ? invalid
    : place.fault('Must have a method.');
};

// A thousand units is far beyond what rounding leaves behind and still quick to settle.
const carriedLimit = fraction(1000n);

const input = record({
  lines: distinctIds(list(line), (member) => member.id),
  carried: optional(mapOf(rational({ moreThan: fraction(-1000n), atMost: carriedLimit }), { longest: 1000 })),
  fees: optional(fees),
});

type RawLine = Of<typeof line>;

function noteFault(faults: InputFault[], pointer: string, detail: string): void {
  faults.push({ pointer, detail });
}

const sumOf = (amounts: Iterable<bigint>): bigint => [...amounts].reduce((a, b) => a + b, 0n);
const hasWeight = (shares: ReadonlyMap<string, Rational>): boolean => [...shares.values()].some(({ n }) => n > 0n);

/** The line's own shares, or those of the line of this receipt that it refunds or adjusts. */
function resolveLine(
  raw: RawLine,
  index: number,
  byId: ReadonlyMap<string, RawLine>,
  faults: InputFault[],
): CostLine | undefined {
  const at = `#/lines/${index}`;
  const { id: lineId, amount, refundOf, adjusts, charged } = raw;
  const before = faults.length;
  if (refundOf !== undefined && adjusts !== undefined)
    noteFault(faults, `${at}/adjusts`, 'A line refunds or adjusts, not both.');
  const original = byId.get(refundOf ?? adjusts ?? '');
  if (original && (original.refundOf !== undefined || original.adjusts !== undefined)) {
    noteFault(
      faults,
      `${at}/${refundOf === undefined ? 'adjusts' : 'refundOf'}`,
      'Must name a line that is itself a charge.',
    );
  }
  if (original && raw.shares) noteFault(faults, `${at}/shares`, 'Leave out: they are those of the line it refers to.');
  const shares = original?.shares ?? raw.shares;
  if (!shares) noteFault(faults, `${at}/shares`, 'Must be given: who shares this line, by weight.');
  else if (!hasWeight(shares)) noteFault(faults, `${at}/shares`, 'Somebody must have a weight above nil.');
  if (refundOf === undefined || original) {
    if (charged) noteFault(faults, `${at}/charged`, 'Is only for a refund of a line that is not in this input.');
  } else if (!charged)
    noteFault(faults, `${at}/charged`, 'Must be given: what the refunded line had charged each household.');
  const chargedMinor = original ? original.amount : charged ? sumOf(charged.values()) : undefined;
  if (refundOf !== undefined && chargedMinor !== undefined) {
    const back = chargedMinor < 0n ? amount : -amount;
    const size = chargedMinor < 0n ? -chargedMinor : chargedMinor;
    if (back < 0n || back > size)
      noteFault(faults, `${at}/amount`, 'A refund has the other sign than its charge and is not larger.');
  }
  return shares && faults.length === before ? { id: lineId, amount, shares, refundOf, adjusts, charged } : undefined;
}

/**
 * Reads the JSON of a cost split: `{lines: [{id, amount, shares}], carried: {household: rational}, fees?}`. A line with `refundOf` refunds
 * another: of this input, whose shares it then takes, or an earlier one, with its `shares` and what it had `charged` each household. A line with
 * `adjusts` is the difference of a catch weight, with the shares of its original. Throws `invalid-input` with every fault.
 */
export function readCostSplit(given: unknown): CostSplitInput {
  const raw = readInput(input, given);
  const faults: InputFault[] = [];
  const byId = new Map(raw.lines.map((member) => [member.id, member]));
  const lines = raw.lines.flatMap((member, index) => resolveLine(member, index, byId, faults) ?? []);
  if (raw.fees?.method === 'weight' && !hasWeight(raw.fees.weights)) {
    noteFault(faults, '#/fees/weights', 'Somebody must have a weight above nil.');
  }
  if (raw.fees?.method === 'nested' && raw.fees.needs.size === 0)
    noteFault(faults, '#/fees/needs', 'Must name somebody.');
  if (faults.length > 0) throw invalidInput(faults);
  return { lines, carried: raw.carried ?? new Map(), fees: raw.fees };
}
