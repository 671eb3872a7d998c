import type { StatementLine } from './account-queries.ts';

export type MoneyReason =
  { kind: 'moneyNil' | 'moneyAhead' | 'moneyBehind' } | { kind: 'moneyAheadRound' | 'moneyBehindRound'; round: number };

const signOf = (amount: bigint): -1 | 0 | 1 => (amount === 0n ? 0 : amount > 0n ? 1 : -1);

/** Why a balance is what it is: the last round that moved it, where that alone points the same way; else all rounds so far. */
export function moneyReason(
  balance: bigint,
  lines: readonly Pick<StatementLine, 'amount' | 'roundNumber'>[],
): MoneyReason {
  if (balance === 0n) return { kind: 'moneyNil' };
  const round = lines.findLast(({ roundNumber }) => roundNumber !== null)?.roundNumber ?? null;
  const ofRound = lines
    .filter(({ roundNumber }) => round !== null && roundNumber === round)
    .reduce((sum, { amount }) => sum + BigInt(amount), 0n);
  const ahead = balance > 0n;
  if (round !== null && signOf(ofRound) === signOf(balance)) {
    return { kind: ahead ? 'moneyAheadRound' : 'moneyBehindRound', round };
  }
  return { kind: ahead ? 'moneyAhead' : 'moneyBehind' };
}
