import { fewestPayments, minorPerUnit } from '@frostmoot/calc';
import type { PaymentDue } from '@frostmoot/calc';
import type { accounts } from '@frostmoot/contract';
import type { z } from 'zod';
import type { HouseholdBalances } from './accounts.repository.ts';

export type AccountsView = z.infer<typeof accounts>;

/** Stands for the accounts that are no household's, so that the balances sum to nil; it takes no part in payments between households. */
const REST = 'rest';

/** Balances, and the fewest payments that settle them: to the minor unit, and in whole currency units with the rest carried. */
export function accountsView(households: readonly HouseholdBalances[], currency: string): AccountsView {
  const balances = new Map(households.map(({ id, money }) => [id, money]));
  const rest = -[...balances.values()].reduce((sum, amount) => sum + amount, 0n);
  if (rest !== 0n) balances.set(REST, rest);
  const exact = fewestPayments({ balances });
  const whole = fewestPayments({ balances, unitMinor: minorPerUnit(currency) });
  const names = new Map(households.map(({ id, name }) => [id, name]));
  const named = (payments: readonly PaymentDue[]): AccountsView['paymentsDue'] =>
    payments
      .filter(({ from, to }) => names.has(from) && names.has(to))
      .map(({ from, to, amount }) => ({
        from: { id: from, name: names.get(from) ?? '' },
        to: { id: to, name: names.get(to) ?? '' },
        amountMinor: amount.toString(),
      }));
  return {
    households: households.map(({ id, name, money, portions, turns, carried }) => ({
      household: { id, name },
      moneyMinor: money.toString(),
      portionsMicro: portions.toString(),
      turnsMicro: turns.toString(),
      carriedMinor: carried,
    })),
    paymentsDue: named(exact.payments),
    paymentsProof: exact.proof,
    wholeUnitPayments: named(whole.payments),
  };
}
