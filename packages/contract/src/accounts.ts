import { z } from 'zod';
import { id, instant, localDate, micro, minor, minorAtLeastNil, named, rational } from './primitives.ts';

export const book = z.enum(['money', 'portions']);

/** One line of a statement: entry kind with the numbers that its words are built from. Amount in minor units (money) or micro-portions (portions). */
export const statementLine = z
  .object({
    entryId: id,
    kind: z.string(),
    on: localDate,
    reason: z.string(),
    facts: z.record(z.string(), z.union([z.string(), z.number()])),
    amount: z.string(),
    balance: z.string(),
    reverses: id.nullable(),
    reversed: z.boolean(),
    documentId: id.nullable(),
    roundNumber: z.int().nullable(),
    by: z.string(),
    at: instant,
  })
  .meta({ id: 'StatementLine' });

/** A household's statement of one book, oldest first; the last balance is the balance. */
export const statement = z
  .object({ household: named, book, balance: z.string(), lines: z.array(statementLine) })
  .meta({ id: 'Statement' });

/** One of the fewest payments that bring every balance to nil. */
export const paymentDue = z.object({ from: named, to: named, amountMinor: minor }).meta({ id: 'PaymentDue' });

/** Balances of every household (positive: to receive), the payments due, and what rounding carries. */
export const accounts = z
  .object({
    households: z.array(
      z.object({ household: named, moneyMinor: minor, portionsMicro: micro, carriedMinor: rational }),
    ),
    paymentsDue: z.array(paymentDue),
    paymentsProof: z.string(),
    wholeUnitPayments: z.array(paymentDue),
  })
  .meta({ id: 'Accounts' });

/** A payment that one household made to another. Errors: `participant-missing`, `invalid-input`. */
export const recordPayment = z
  .object({
    fromHouseholdId: id,
    toHouseholdId: id,
    amountMinor: minorAtLeastNil,
    on: localDate,
    note: z.string().trim().max(200).default(''),
  })
  .meta({ id: 'RecordPayment' });

/** Corrects an entry (payment) by a new one that names it. Errors: `already-confirmed` when it was reversed before. */
export const reverseEntry = z.object({ reason: z.string().trim().min(3).max(200) }).meta({ id: 'ReverseEntry' });

export const entryResult = z.object({ entryId: id }).meta({ id: 'EntryResult' });
