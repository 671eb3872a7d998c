import { Injectable } from '@nestjs/common';
import { costShares, DomainError, invalidInput, participantsOn, rational, receiptStages } from '@frostmoot/calc';
import { requireStage, splitCosts } from '@frostmoot/calc';
import type { CostSplit, DishMadeOf } from '@frostmoot/calc';
import type { createReceipt } from '@frostmoot/contract';
import type { z } from 'zod';
import { LedgerRepository } from '../accounts/ledger.repository.ts';
import type { Actor } from '../platform/auth/actor.ts';
import { requireHousehold } from '../platform/auth/actor.ts';
import { newId } from '../platform/db/ids.ts';
import { requirePast } from '../platform/clock/require-past.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { tell } from '../platform/events/tell.ts';
import type { Settings } from '../recipes/cooperative-settings.ts';
import { CooperativeSettings } from '../recipes/cooperative-settings.ts';
import { IngredientsRepository } from '../recipes/ingredients.repository.ts';
import { ParticipantsRepository } from '../rounds/participants.repository.ts';
import type { RoundRow } from '../rounds/rounds.repository.ts';
import { RoundsRepository } from '../rounds/rounds.repository.ts';
import { knownSeller, OffersRepository } from './offers.repository.ts';
import { PurchasesRepository } from './purchases.repository.ts';
import type { ReceiptAnswer } from './receipt-answers.ts';
import { ReceiptReader } from './receipt-reader.ts';
import type { SharedLine } from './receipt-books.ts';
import { receiptEntries } from './receipt-books.ts';
import type { CheckedLine } from './receipt-lines.ts';
import { checkedLines } from './receipt-lines.ts';
import type { NewLine } from './receipts.repository.ts';
import { ReceiptsRepository } from './receipts.repository.ts';
import type { RoundPlan } from './round-plan.service.ts';
import { RoundPlanService } from './round-plan.service.ts';

type Typed = z.infer<typeof createReceipt>;

/** What was really paid: taken in line by line, split at once, booked in the same transaction. */
@Injectable()
export class ReceiptsService {
  constructor(
    private readonly work: UnitOfWork,
    private readonly rounds: RoundsRepository,
    private readonly participants: ParticipantsRepository,
    private readonly plans: RoundPlanService,
    private readonly offers: OffersRepository,
    private readonly purchases: PurchasesRepository,
    private readonly receipts: ReceiptsRepository,
    private readonly ingredients: IngredientsRepository,
    private readonly ledger: LedgerRepository,
    private readonly settings: CooperativeSettings,
    private readonly reader: ReceiptReader,
  ) {}

  create(actor: Actor, roundId: string, typed: Typed): Promise<ReceiptAnswer> {
    if (!actor.roles.includes('buyer')) requireHousehold(actor, typed.paidByHouseholdId);
    return this.work.write(actor, async (tx) => {
      const settings = await this.settings.of(tx, actor);
      const round = await this.rounds.lock(tx, actor, roundId);
      requireStage(round.stage, receiptStages, 'A receipt');
      requirePast(typed.boughtOn, settings.today, '#/boughtOn');
      knownSeller(await this.offers.lockSeller(tx, actor, typed.sellerId));
      const checked = await this.checked(tx, actor, round, typed, settings);
      const totalMinor = checked.reduce((sum, { amountMinor }) => sum + amountMinor, 0n);
      if (totalMinor === 0n) {
        throw invalidInput([{ pointer: '#/lines', detail: 'Nothing was paid: every amount is nil.' }]);
      }
      const lines = await this.shared(tx, actor, round, typed, checked, settings);
      const split = await this.splitNow(tx, actor, lines);
      const receiptId = await this.receipts.add(tx, actor, {
        roundId,
        sellerId: typed.sellerId,
        paidByHouseholdId: typed.paidByHouseholdId,
        boughtOn: typed.boughtOn,
        note: typed.note,
        totalMinor,
        lines: lines.map((line, position) => newLine(line, checked[position] as CheckedLine, split)),
      });
      await this.bookReceipt(tx, actor, round, receiptId, typed, totalMinor, lines, split);
      const paid = checked.flatMap(({ purchaseId }) => purchaseId ?? []);
      await this.purchases.tickPaid(tx, actor, paid, settings.now);
      await tellBought(tx, actor, round.id);
      if (checked.some(({ lots }) => lots.length > 0)) await tell(tx, actor, 'recalls');
      return this.reader.one(tx, actor, receiptId, settings.measures);
    });
  }

  private async checked(
    tx: Tx,
    actor: Actor,
    round: RoundRow,
    typed: Typed,
    settings: Settings,
  ): Promise<CheckedLine[]> {
    const purchases = new Map((await this.purchases.ofRound(tx, actor, round.id)).map((row) => [row.id, row]));
    const named = typed.lines.flatMap(({ ingredientId, purchaseId }) => [
      ...(ingredientId === null ? [] : [ingredientId]),
      ...(purchases.get(purchaseId ?? '') ? [purchases.get(purchaseId ?? '')?.offer.ingredientId ?? ''] : []),
    ]);
    const ingredients = new Map((await this.ingredients.byIds(tx, actor, named)).map((row) => [row.id, row]));
    return checkedLines(typed.lines, { purchases, ingredients }, settings.measures);
  }

  /** The lines with the weights of that day among those who can eat what they go into. */
  private async shared(
    tx: Tx,
    actor: Actor,
    round: RoundRow,
    { boughtOn, paidByHouseholdId }: Typed,
    checked: readonly CheckedLine[],
    settings: Settings,
  ): Promise<SharedLine[]> {
    const rows = await this.participants.ofRound(tx, actor, round.id);
    if (!rows.some(({ householdId }) => householdId === paidByHouseholdId)) {
      const detail = 'The household that paid takes no part in this round.';
      throw new DomainError('participant-missing', detail, { errors: [{ pointer: '#/paidByHouseholdId', detail }] });
    }
    const present = participantsOn(rows, boughtOn);
    const dishes = dishesMadeOf(await this.plans.of(tx, actor, round, settings.measures));
    const lines = checked.map(({ ingredientId, amountMinor }) => ({
      id: newId(),
      amountMinor,
      shares: costShares(ingredientId, dishes, present),
    }));
    if (lines.some(({ shares }) => shares.size === 0)) {
      const detail = 'On that day nobody took part in the round, so nobody could share the cost.';
      throw new DomainError('participant-missing', detail, { errors: [{ pointer: '#/boughtOn', detail }] });
    }
    return lines;
  }

  /** Splits and takes on what rounding leaves, under the lock of what it has left so far. */
  private async splitNow(tx: Tx, actor: Actor, lines: readonly SharedLine[]): Promise<CostSplit> {
    const households = lines.flatMap(({ shares }) => [...shares.keys()]);
    const carried = await this.receipts.lockCarried(tx, actor, households);
    const split = splitCosts({
      lines: lines.map(({ id, amountMinor, shares }) => ({ id, amount: amountMinor, shares: new Map(shares) })),
      carried,
    });
    await this.receipts.saveCarried(tx, actor, split.carriedAfter);
    return split;
  }

  private async bookReceipt(
    tx: Tx,
    actor: Actor,
    round: RoundRow,
    documentId: string,
    { sellerId, paidByHouseholdId, boughtOn }: Typed,
    totalMinor: bigint,
    lines: readonly SharedLine[],
    split: CostSplit,
  ): Promise<void> {
    const seller = (await this.offers.sellers(tx, actor)).find(({ id }) => id === sellerId)?.name ?? '';
    const rows = await this.participants.ofRound(tx, actor, round.id);
    const paidBy = rows.find(({ householdId }) => householdId === paidByHouseholdId)?.name ?? '';
    const facts = { seller, paidBy, lines: lines.length, totalMinor: totalMinor.toString() };
    const entries = receiptEntries(paidByHouseholdId, totalMinor, lines, split).map((draft) => ({
      ...draft,
      reason: draft.kind === 'receipt-paid' ? `Paid at ${seller}` : `Share of what was bought at ${seller}`,
      facts,
      documentId,
      roundId: round.id,
      occurredOn: boughtOn,
    }));
    await this.ledger.postAll(tx, actor, entries);
  }
}

/** Each dish with all that goes into it and whom it does not suit. */
const dishesMadeOf = ({ dishes, needs }: RoundPlan): DishMadeOf[] =>
  dishes.map(({ id, version }) => ({
    unfitFor: version.unfitFor,
    ingredients: new Set(needs.byDish.get(id)?.keys() ?? []),
  }));

export async function tellBought(tx: Tx, actor: Actor, roundId: string): Promise<void> {
  for (const topic of ['buying', 'rounds', 'accounts'] as const) await tell(tx, actor, topic, roundId);
}

const newLine = (line: SharedLine, checked: CheckedLine, split: CostSplit): NewLine => ({
  ...checked,
  id: line.id,
  correctsLineId: null,
  shares: texts(line.shares, rational.format),
  amounts: texts(split.amounts.get(line.id) ?? new Map<string, bigint>(), String),
});

export const texts = <T>(map: ReadonlyMap<string, T>, write: (value: T) => string): Record<string, string> =>
  Object.fromEntries([...map].map(([id, value]) => [id, write(value)]));
