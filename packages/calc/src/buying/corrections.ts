import { DomainError } from '../domain-error.ts';
import { invalidInput } from '../input.ts';

/** A line of a receipt as it was split: household to minor units. */
export interface SplitLine {
  kind: 'goods' | 'fee' | 'adjustment' | 'refund';
  amountMinor: bigint;
  amounts: ReadonlyMap<string, bigint>;
}

function refuseCorrected(line: SplitLine, corrections: readonly SplitLine[]): void {
  if (line.kind !== 'goods' && line.kind !== 'fee') {
    throw invalidInput([
      { pointer: '#/lineId', detail: 'A correction is not corrected itself; name the line that was bought.' },
    ]);
  }
  if (corrections.some(({ kind }) => kind === 'refund')) {
    throw new DomainError('conflict', 'This line was given back already.');
  }
}

/**
 * A line given back whole, with what adjusted it since: every household gets back exactly what it paid for it. Our decision.
 * `line`: as bought; `corrections`: its corrections so far. Gives the amounts to book, negative.
 * Throws `conflict` when it was given back before, `invalid-input` for a line that is a correction itself.
 */
export function refundOf(
  line: SplitLine,
  corrections: readonly SplitLine[],
): { amountMinor: bigint; amounts: Map<string, bigint> } {
  refuseCorrected(line, corrections);
  const amounts = new Map<string, bigint>();
  let amountMinor = 0n;
  for (const part of [line, ...corrections]) {
    amountMinor -= part.amountMinor;
    for (const [household, paid] of part.amounts) amounts.set(household, (amounts.get(household) ?? 0n) - paid);
  }
  return { amountMinor, amounts };
}

/**
 * Refuses a difference that cannot be one: nil, of a line that was given back or is a correction, or more than the line costs by now.
 * `differenceMinor`: what was paid more (positive) or less than the line says. Throws `invalid-input`, `conflict`.
 */
export function checkAdjustment(line: SplitLine, corrections: readonly SplitLine[], differenceMinor: bigint): void {
  refuseCorrected(line, corrections);
  const pointer = '#/differenceMinor';
  if (differenceMinor === 0n) throw invalidInput([{ pointer, detail: 'Must not be nil.' }]);
  const soFar = corrections.reduce((total, { amountMinor }) => total + amountMinor, line.amountMinor);
  if (soFar + differenceMinor < 0n) {
    throw invalidInput([{ pointer, detail: `Would leave less than nil of the line, which costs ${soFar}.` }]);
  }
}
