import { fromMicroTurns } from '../ledger/turn-entries.ts';
import type { Rational } from '../rational.ts';
import { add, div, isZero, mul, rational, sub, sum, zero } from '../rational.ts';

/** What the turns book says of a household, and its published turns among the weeks of a new rota. */
export interface CarriedTurns {
  weight: Rational;
  /** micro-turns; above nil: it has turns to cook */
  balance: bigint;
  /** its published turns in those weeks */
  published: number;
}

/**
 * What each household owes before a rota in whose weeks some turns are published already. The book holds those turns (due by weight and given), and the rota
 * counts them again, so they are taken out here: balance + published - all published x weight / sum of weights. Then what the rota leaves owed is what the book
 * says once its new turns are booked. `open`: published turns of those weeks that nobody holds. Exact; weights of nil give nobody a share.
 */
export function owedBefore(households: ReadonlyMap<string, CarriedTurns>, open: number): Map<string, Rational> {
  const all = [...households.values()];
  const weights = sum(all.map(({ weight }) => weight));
  const turns = rational(BigInt(all.reduce((total, { published }) => total + published, open)));
  return new Map(
    [...households].map(([id, { weight, balance, published }]) => {
      const share = isZero(weights) ? zero : div(mul(turns, weight), weights);
      return [id, sub(add(fromMicroTurns(balance), rational(BigInt(published))), share)];
    }),
  );
}
