import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { canonicalJson } from '../canonical.ts';
import type { Rational } from '../rational.ts';
import { abs, add, cmp, eq, format, isZero, one, parse, rational, sub, sum, zero } from '../rational.ts';
import type { CostSplitOutput } from './cost-split.ts';
import { costSplit } from './cost-split.ts';

interface Line {
  id: string;
  amount: string;
  shares: Record<string, string>;
  refundOf?: string;
  charged?: Record<string, string>;
}

const households = ['a', 'b', 'c', 'd', 'e', 'f', 'g'];
const weight = fc.oneof(fc.integer({ min: 1, max: 9 }).map(String), fc.constantFrom('0', '0.5', '7/3', '1.1', '2.9'));
const shares = fc
  .dictionary(fc.constantFrom(...households), weight, { minKeys: 1 })
  .filter((given) => Object.values(given).some((w) => w !== '0'));
const snap = rational(1n, 10n ** 12n);
// Whole weights, so that the test's own exact sums over hundreds of receipts stay short.
const wholeShares = fc
  .dictionary(fc.constantFrom(...households), fc.nat(6).map(String), { minKeys: 1 })
  .filter((given) => Object.values(given).some((w) => w !== '0'));
const amount = fc.integer({ min: -2000, max: 20_000 }).map(String);

/** What a household should have paid of these lines, computed from the definition alone. */
function exactTotals(lines: readonly Line[]): Map<string, Rational> {
  const due = new Map<string, Rational>();
  for (const line of lines) {
    const all = sum(Object.values(line.shares).map(parse));
    for (const [id, w] of Object.entries(line.shares)) {
      const { n, d } = parse(w);
      due.set(id, add(due.get(id) ?? zero, rational(BigInt(line.amount) * n * all.d, d * all.n)));
    }
  }
  return due;
}

function checkReceipt(lines: readonly Line[], result: CostSplitOutput): void {
  for (const line of lines) {
    const split = result.amounts[line.id] ?? {};
    expect(Object.values(split).reduce((total, part) => total + BigInt(part), 0n)).toBe(BigInt(line.amount));
    expect(Object.keys(split).every((id) => id in line.shares)).toBe(true);
  }
  const receipt = lines.reduce((total, line) => total + BigInt(line.amount), 0n);
  expect(Object.values(result.totals).reduce((total, part) => total + BigInt(part), 0n)).toBe(receipt);
  expect(isZero(sum(Object.values(result.carriedAfter).map(parse)))).toBe(true);
  for (const carried of Object.values(result.carriedAfter)) expect(cmp(abs(parse(carried)), one)).toBe(-1);
}

describe('cost split, always', () => {
  it('sums to each line, keeps nothing back and carries less than one unit', () => {
    const anyLines = fc.array(fc.record({ amount, shares }), { maxLength: 6 });
    fc.assert(
      fc.property(anyLines, (given) => {
        const lines = given.map((line, i) => ({ ...line, id: `line${i}` }));
        const result = costSplit({ lines, carried: {} });
        checkReceipt(lines, result);
        for (const [id, due] of exactTotals(lines)) {
          const paid = rational(BigInt(result.totals[id] ?? '0'));
          const carried = parse(result.carriedAfter[id] ?? '0');
          const snapped = Object.values(result.carriedAfter).every((text) => 10n ** 12n % parse(text).d === 0n);
          if (snapped) expect(cmp(abs(sub(sub(due, paid), carried)), snap)).toBe(-1);
          else expect(eq(sub(due, paid), carried)).toBe(true);
        }
        const backwards = costSplit({ carried: {}, lines: [...lines].reverse() });
        expect(canonicalJson(backwards)).toBe(canonicalJson(result));
      }),
      { numRuns: 300 },
    );
  });

  it('never lets anybody drift by a unit over 520 receipts with changing shares and refunds', () => {
    const receipt = fc.record({ amount, shares: wholeShares, refund: fc.nat(9) });
    const manyReceipts = fc.array(receipt, { minLength: 520, maxLength: 520, size: 'max' });
    fc.assert(
      fc.property(manyReceipts, (receipts) => {
        let carried: Record<string, string> = {};
        const past: Line[] = [];
        const refunded = new Set<Line>();
        const paid = new Map<string, bigint>();
        const book = (line: Line): CostSplitOutput => {
          const result = costSplit({ lines: [line], carried });
          checkReceipt([line], result);
          for (const [id, part] of Object.entries(result.totals)) paid.set(id, (paid.get(id) ?? 0n) + BigInt(part));
          carried = result.carriedAfter;
          past.push(line);
          for (const [id, due] of exactTotals(past.filter((one) => !refunded.has(one)))) {
            if (past.length % 40 !== 0 && past.length < 519) break;
            expect(cmp(abs(sub(due, rational(paid.get(id) ?? 0n))), one)).toBe(-1);
          }
          return result;
        };
        receipts.forEach((given, i) => {
          const charge: Line = { id: `r${i}`, amount: given.amount, shares: given.shares };
          const { amounts } = book(charge);
          if (given.refund > 0 || given.amount === '0') return;
          const back = format(rational(-BigInt(given.amount)));
          const refund: Line = {
            ...charge,
            id: `r${i} back`,
            amount: back,
            refundOf: charge.id,
            charged: amounts[charge.id],
          };
          book(refund);
          refunded.add(refund).add(charge);
        });
        for (const value of Object.values(carried)) expect(value.length).toBeLessThan(40);
      }),
      { numRuns: 3 },
    );
  });

  it('undoes a charge by its refund, to the unit and to the carried fraction', () => {
    const carriedNumbers = fc.tuple(fc.integer({ min: -99, max: 99 }), fc.integer({ min: 100, max: 999 }));
    fc.assert(
      fc.property(amount, shares, carriedNumbers, (given, parts, [n, d]) => {
        fc.pre(given !== '0');
        const carried = { a: format(rational(BigInt(n), BigInt(d))), g: format(rational(BigInt(-n), BigInt(d))) };
        const first = costSplit({ lines: [{ id: 'x', amount: given, shares: parts }], carried });
        const refund = {
          id: 'y',
          amount: String(-Number(given)),
          shares: parts,
          refundOf: 'x',
          charged: first.amounts.x,
        };
        const second = costSplit({ lines: [refund], carried: first.carriedAfter });
        for (const id of households) {
          expect(BigInt(second.totals[id] ?? '0')).toBe(-BigInt(first.totals[id] ?? '0'));
          const before = id === 'a' || id === 'g' ? carried[id] : '0';
          expect(second.carriedAfter[id] ?? '0').toBe(before);
        }
      }),
    );
  });
});
