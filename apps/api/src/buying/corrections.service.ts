import { Injectable } from '@nestjs/common';
import { checkAdjustment, correctionStages, DomainError, rational, refundOf, requireStage } from '@frostmoot/calc';
import { splitCosts } from '@frostmoot/calc';
import type { CostLine, CostSplit, Rational, SplitLine } from '@frostmoot/calc';
import type { correctReceiptLine } from '@frostmoot/contract';
import type { z } from 'zod';
import { LedgerRepository } from '../accounts/ledger.repository.ts';
import type { Actor } from '../platform/auth/actor.ts';
import { newId } from '../platform/db/ids.ts';
import { requirePast } from '../platform/clock/require-past.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { CooperativeSettings } from '../recipes/cooperative-settings.ts';
import { RoundsRepository } from '../rounds/rounds.repository.ts';
import type { ReceiptAnswer } from './receipt-answers.ts';
import { correctionEntries } from './receipt-books.ts';
import { ReceiptReader } from './receipt-reader.ts';
import type { CorrectableLine, LineKind } from './receipts.repository.ts';
import { ReceiptsRepository, textsOf } from './receipts.repository.ts';
import { tellBought, texts } from './receipts.service.ts';

type Typed = z.infer<typeof correctReceiptLine>;

interface Difference {
  amountMinor: bigint;
  cost: CostLine;
}

/** Corrects a line by another one, on a receipt of its own; the first stays as it was split. */
@Injectable()
export class CorrectionsService {
  constructor(
    private readonly work: UnitOfWork,
    private readonly rounds: RoundsRepository,
    private readonly receipts: ReceiptsRepository,
    private readonly ledger: LedgerRepository,
    private readonly settings: CooperativeSettings,
    private readonly reader: ReceiptReader,
  ) {}

  correct(actor: Actor, roundId: string, typed: Typed): Promise<ReceiptAnswer> {
    return this.work.write(actor, async (tx) => {
      const { measures, today } = await this.settings.of(tx, actor);
      const round = await this.rounds.lock(tx, actor, roundId);
      requireStage(round.stage, correctionStages, 'A correction');
      requirePast(typed.on, today, '#/on');
      const line = await this.receipts.line(tx, actor, roundId, typed.lineId);
      if (!line) {
        const detail = 'Is no line of a receipt of this round.';
        throw new DomainError('invalid-input', detail, { errors: [{ pointer: '#/lineId', detail }] });
      }
      const difference = differenceOf(line, typed);
      const shares = difference.cost.shares;
      const carried = await this.receipts.lockCarried(tx, actor, [...shares.keys()]);
      const split = splitCosts({ lines: [difference.cost], carried });
      await this.receipts.saveCarried(tx, actor, split.carriedAfter);
      const receiptId = await this.add(tx, actor, line, typed, difference, split);
      await this.book(tx, actor, line, typed, difference, split, receiptId);
      await tellBought(tx, actor, roundId);
      return this.reader.one(tx, actor, receiptId, measures);
    });
  }

  private add(
    tx: Tx,
    actor: Actor,
    line: CorrectableLine,
    typed: Typed,
    { amountMinor, cost }: Difference,
    split: CostSplit,
  ): Promise<string> {
    const { roundId, sellerId, paidByHouseholdId } = line.receipt;
    const corrected = {
      id: cost.id,
      kind: typed.kind,
      purchaseId: null,
      ingredientId: line.ingredientId,
      correctsLineId: line.id,
      label: line.label,
      packs: null,
      actualQuantity: actualOf(typed),
      unit: line.unit,
      amountMinor,
      lots: [],
      shares: texts(cost.shares, rational.format),
      amounts: texts(split.amounts.get(cost.id) ?? new Map<string, bigint>(), String),
    };
    const header = { roundId, sellerId, paidByHouseholdId, boughtOn: typed.on, note: typed.reason };
    return this.receipts.add(tx, actor, { ...header, totalMinor: amountMinor, lines: [corrected] });
  }

  private async book(
    tx: Tx,
    actor: Actor,
    line: CorrectableLine,
    typed: Typed,
    { amountMinor, cost }: Difference,
    split: CostSplit,
    documentId: string,
  ): Promise<void> {
    // A line that cost nothing moves no money when it is given back.
    if (amountMinor === 0n) return;
    const shared = [{ id: cost.id, amountMinor, shares: cost.shares }];
    const facts = {
      correction: typed.kind,
      label: line.label,
      differenceMinor: amountMinor.toString(),
      seller: line.receipt.seller.name,
      paidBy: line.receipt.paidBy.name,
    };
    const entries = correctionEntries(line.receipt.paidByHouseholdId, amountMinor, shared, split).map((draft) => ({
      ...draft,
      reason: typed.reason,
      facts,
      documentId,
      roundId: line.receipt.roundId,
      occurredOn: typed.on,
    }));
    await this.ledger.postAll(tx, actor, entries);
  }
}

const actualOf = (typed: Typed): string | null =>
  typed.kind === 'adjustment' && typed.actualQuantity !== null
    ? rational.format(rational.parse(typed.actualQuantity))
    : null;

const splitLine = (line: Pick<CorrectableLine, 'kind' | 'amountMinor' | 'amounts'>): SplitLine => ({
  kind: line.kind as LineKind,
  amountMinor: line.amountMinor,
  amounts: new Map(Object.entries(textsOf(line.amounts)).map(([id, amount]) => [id, BigInt(amount)])),
});

/** What the correction costs and how it is split: a refund as the mirror of what each paid, a difference by the weights of its line. */
function differenceOf(line: CorrectableLine, typed: Typed): Difference {
  const original = splitLine(line);
  const corrections = line.corrections.map(splitLine);
  const shares = new Map<string, Rational>(
    Object.entries(textsOf(line.shares)).map(([id, weight]) => [id, rational.parse(weight)]),
  );
  const id = newId();
  if (typed.kind === 'adjustment') {
    const amountMinor = BigInt(typed.differenceMinor);
    checkAdjustment(original, corrections, amountMinor);
    return { amountMinor, cost: { id, amount: amountMinor, shares, adjusts: line.id } };
  }
  const { amountMinor, amounts } = refundOf(original, corrections);
  const charged = new Map([...amounts].map(([household, amount]) => [household, -amount]));
  return { amountMinor, cost: { id, amount: amountMinor, shares, refundOf: line.id, charged } };
}
