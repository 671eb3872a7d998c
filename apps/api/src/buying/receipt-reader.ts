import { Injectable } from '@nestjs/common';
import type { Measures } from '@frostmoot/calc';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';
import { ParticipantsRepository } from '../rounds/participants.repository.ts';
import type { ReceiptAnswer } from './receipt-answers.ts';
import { receiptAnswer } from './receipt-answers.ts';
import type { ReceiptRow } from './receipts.repository.ts';
import { ReceiptsRepository, textsOf } from './receipts.repository.ts';

/** Receipts as they are shown, with the names of households and of who wrote them down. */
@Injectable()
export class ReceiptReader {
  constructor(
    private readonly receipts: ReceiptsRepository,
    private readonly participants: ParticipantsRepository,
  ) {}

  async ofRound(tx: Tx, scope: Scope, roundId: string, measures: Measures): Promise<ReceiptAnswer[]> {
    return this.answers(tx, scope, await this.receipts.ofRound(tx, scope, roundId), measures);
  }

  async one(tx: Tx, scope: Scope, id: string, measures: Measures): Promise<ReceiptAnswer> {
    const answers = await this.answers(tx, scope, [await this.receipts.find(tx, scope, id)], measures);
    return answers[0] as ReceiptAnswer;
  }

  private async answers(
    tx: Tx,
    scope: Scope,
    rows: readonly ReceiptRow[],
    measures: Measures,
  ): Promise<ReceiptAnswer[]> {
    const ids = rows.flatMap(({ lines }) =>
      lines.flatMap(({ shares, amounts }) => [...Object.keys(textsOf(shares)), ...Object.keys(textsOf(amounts))]),
    );
    const households = await this.participants.households(tx, scope, [...new Set(ids)]);
    const names = {
      households: new Map(households.map(({ id, name }) => [id, name])),
      people: await this.receipts.writers(tx, rows),
    };
    return rows.map((row) => receiptAnswer(row, names, measures));
  }
}
