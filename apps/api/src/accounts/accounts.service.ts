import { Injectable } from '@nestjs/common';
import { DomainError, household, payersOfReversible, paymentMade, portionPeriods } from '@frostmoot/calc';
import type { Book, EntryDraft } from '@frostmoot/calc';
import type { entryResult, portionRounds, recordPayment } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { requireHousehold } from '../platform/auth/actor.ts';
import { Clock } from '../platform/clock/clock.ts';
import { dayOf } from '../platform/clock/day-of.ts';
import { requirePast } from '../platform/clock/require-past.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { tell } from '../platform/events/tell.ts';
import { AccountsRepository } from './accounts.repository.ts';
import { accountsView } from './accounts.view.ts';
import type { AccountsView } from './accounts.view.ts';
import { LedgerRepository } from './ledger.repository.ts';
import { portionRoundsView } from './portion-rounds.view.ts';
import { statementView } from './statement.view.ts';
import type { StatementView } from './statement.view.ts';

type EntryResult = z.infer<typeof entryResult>;

/** What everybody owes and is owed, why, and payments between households. The books are open to every member. */
@Injectable()
export class AccountsService {
  constructor(
    private readonly unitOfWork: UnitOfWork,
    private readonly accounts: AccountsRepository,
    private readonly ledger: LedgerRepository,
    private readonly clock: Clock,
  ) {}

  all(actor: Actor): Promise<AccountsView> {
    return this.unitOfWork.read(actor, async (tx) => {
      const { currency } = await this.accounts.currency(tx, actor);
      return accountsView(await this.accounts.balances(tx, actor), currency);
    });
  }

  statement(actor: Actor, householdId: string, book: Book): Promise<StatementView> {
    return this.unitOfWork.read(actor, async (tx) => {
      const found = await this.accounts.household(tx, actor, householdId);
      if (!found) throw new DomainError('not-found', 'There is no such household');
      return statementView(found, book, await this.accounts.statement(tx, actor, householdId, book));
    });
  }

  /** Portions by round: due, received, swapped and carried, from the postings alone. */
  portions(actor: Actor, householdId: string): Promise<z.infer<typeof portionRounds>> {
    return this.unitOfWork.read(actor, async (tx) => {
      const found = await this.accounts.household(tx, actor, householdId);
      if (!found) throw new DomainError('not-found', 'There is no such household');
      return portionRoundsView(found, portionPeriods(await this.accounts.portionMoves(tx, actor, householdId)));
    });
  }

  pay(actor: Actor, payment: z.infer<typeof recordPayment>): Promise<EntryResult> {
    requireOneOf(actor, [payment.fromHouseholdId, payment.toHouseholdId]);
    return this.unitOfWork.write(actor, async (tx) => {
      requirePast(payment.on, (await dayOf(tx, actor, this.clock)).today, '#/on');
      const from = await this.participant(tx, actor, payment.fromHouseholdId);
      const to = await this.participant(tx, actor, payment.toHouseholdId);
      const facts = { from: from.name, to: to.name, ...(payment.note === '' ? {} : { note: payment.note }) };
      const entryId = await this.ledger.post(tx, actor, {
        ...draftOf(payment),
        reason: `${from.name} paid ${to.name}`,
        facts,
        occurredOn: payment.on,
      });
      await tell(tx, actor, 'accounts');
      return { entryId };
    });
  }

  reverse(actor: Actor, entryId: string, reason: string): Promise<EntryResult> {
    return this.unitOfWork.write(actor, async (tx) => {
      const entry = await this.ledger.find(tx, actor, entryId);
      if (!entry) throw new DomainError('not-found', 'There is no such entry');
      requireOneOf(actor, payersOfReversible(entry));
      const { today } = await dayOf(tx, actor, this.clock);
      const reversal = await this.ledger.reverse(tx, actor, entry, { reason, occurredOn: today });
      await tell(tx, actor, 'accounts');
      return { entryId: reversal };
    });
  }

  private async participant(tx: Tx, actor: Actor, id: string): Promise<{ id: string; name: string }> {
    const found = await this.accounts.household(tx, actor, id);
    if (!found) throw new DomainError('participant-missing', 'There is no such household in the cooperative');
    return found;
  }
}

/** The entry of a payment; a refusal points to the fields as they were sent. */
function draftOf({ fromHouseholdId, toHouseholdId, amountMinor }: z.infer<typeof recordPayment>): EntryDraft {
  try {
    return paymentMade(household(fromHouseholdId), household(toHouseholdId), BigInt(amountMinor));
  } catch (error) {
    if (!(error instanceof DomainError)) throw error;
    const fields: Record<string, string> = { '#/amount': '#/amountMinor', '#/to': '#/toHouseholdId' };
    const errors = error.errors.map((fault) => ({ ...fault, pointer: fields[fault.pointer] ?? fault.pointer }));
    throw new DomainError(error.code, error.message, { errors });
  }
}

/** Either household of a payment, or a coordinator. */
function requireOneOf(actor: Actor, householdIds: readonly string[]): void {
  requireHousehold(actor, householdIds.find((id) => id === actor.householdId) ?? householdIds[0] ?? '');
}
