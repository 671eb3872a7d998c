import { z } from 'zod';
import { id, instant, localDate, micro, minor, minorAtLeastNil, named, rational, version } from './primitives.ts';

export const book = z.enum(['money', 'portions', 'turns']);

/** One line of a statement: entry kind with the numbers that its words are built from. Amount in minor units (money), micro-portions (portions) or micro-turns (turns). */
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

/** What moved a household's portions from one share-out to the next: carried = carried before + due - received + swapped + other. */
export const portionRound = z
  .object({
    /** of the share-out that it begins with; null: before the first, or all rounds together */
    roundNumber: z.int().nullable(),
    dueMicro: micro,
    receivedMicro: micro,
    swappedMicro: micro,
    otherMicro: micro,
    carriedMicro: micro,
  })
  .meta({ id: 'PortionRound' });

/** A household's portions by round, oldest first, and in all. */
export const portionRounds = z
  .object({ household: named, rounds: z.array(portionRound), total: portionRound })
  .meta({ id: 'PortionRounds' });

/** What a household would leave behind if it left now, and who takes it over. Money is null when there is nothing to book. */
export const leaving = z
  .object({
    household: named,
    leftOn: localDate.nullable(),
    portionsMicro: micro,
    /** whose cost per portion counts; null when no round was shared out and paid for */
    roundNumber: z.int().nullable(),
    costPerPortionMinor: rational.nullable(),
    moneyMinor: minor.nullable(),
    takenOver: z.array(z.object({ household: named, portionsMicro: micro, moneyMinor: minor })),
    /** what must be done first: rounds it takes part in that are not shared out, swaps that wait for an answer, no price */
    blockedBy: z.array(z.enum(['round', 'swap', 'no-cost', 'nobody-stays'])),
    version,
  })
  .meta({ id: 'Leaving' });

/** A household leaves today, and its portions are bought out as they were shown. Errors: `conflict` when the figures have changed since, `round-not-ready` for what must be done first, `already-confirmed` when it has left. */
export const settleLeaving = z
  .object({ portionsMicro: micro, moneyMinor: minor.nullable() })
  .meta({ id: 'SettleLeaving' });

/** One of the fewest payments that bring every balance to nil. */
export const paymentDue = z.object({ from: named, to: named, amountMinor: minor }).meta({ id: 'PaymentDue' });

/** Balances of every household (positive: to receive), the payments due, and what rounding carries. */
export const accounts = z
  .object({
    households: z.array(
      z.object({
        household: named,
        moneyMinor: minor,
        portionsMicro: micro,
        turnsMicro: micro,
        carriedMinor: rational,
      }),
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
