import { Inject, Injectable } from '@nestjs/common';
import { DomainError, labelAddress } from '@frostmoot/calc';
import type { labelsQuery } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { Clock } from '../platform/clock/clock.ts';
import type { Config } from '../platform/config/config.ts';
import { CONFIG } from '../platform/config/tokens.ts';
import { fromDate } from '../platform/db/dates.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { RoundsRepository } from '../rounds/rounds.repository.ts';
import { ContainerRepository } from '../stock/container.repository.ts';
import { BatchesRepository } from './batches.repository.ts';
import { labelPdf } from './label-pdf.ts';
import { LabelWords, type LabelFacts } from './label-words.ts';

type Asked = z.infer<typeof labelsQuery>;

/** Labels of the sealed containers of a round, as they stand now. */
@Injectable()
export class LabelsService {
  constructor(
    private readonly work: UnitOfWork,
    private readonly rounds: RoundsRepository,
    private readonly batches: BatchesRepository,
    private readonly containers: ContainerRepository,
    private readonly words: LabelWords,
    private readonly clock: Clock,
    @Inject(CONFIG) private readonly config: Config,
  ) {}

  /** A PDF with its name. */
  async print(actor: Actor, roundId: string, asked: Asked): Promise<{ name: string; pdf: Buffer }> {
    const madeAt = this.clock.now();
    const { number, facts } = await this.facts(actor, roundId, asked, madeAt);
    if (facts.length === 0) throw new DomainError('none-left', 'There is no sealed container to label');
    const { language, sheet, first } = asked;
    const labels = facts.map((each) => ({
      dish: each.dish,
      texts: this.words.texts(each, language),
      address: each.address,
    }));
    const name = `frostmoot-labels-R${number}`;
    return { name: `${name}.pdf`, pdf: await labelPdf(labels, { title: name, language, sheet, first, madeAt }) };
  }

  private facts(actor: Actor, roundId: string, { batchId, householdId, language }: Asked, now: Date) {
    return this.work.read(actor, async (tx) => {
      const { number } = await this.rounds.find(tx, actor, roundId);
      const batches = new Map((await this.batches.ofRound(tx, actor, roundId)).map((batch) => [batch.id, batch]));
      const all = await this.containers.ofRound(tx, actor, roundId, now);
      const cards = all.filter(
        (card) =>
          card.state === 'sealed' &&
          (batchId === undefined || card.batchId === batchId) &&
          (householdId === undefined || card.holderId === householdId),
      );
      const facts = cards.map((card): LabelFacts => {
        const frozenOn = batches.get(card.batchId)?.frozenOn ?? null;
        return {
          ...card,
          frozenOn: frozenOn && fromDate(frozenOn),
          household: card.holder?.name ?? null,
          address: labelAddress(new URL(this.config.publicUrl).origin, actor.cooperativeId, card.code),
        };
      });
      return { number, facts: inPrintOrder(facts, language) };
    });
  }
}

/** What goes to one household lies together, then what is alike, in the order of the codes. */
function inPrintOrder(facts: LabelFacts[], language: Asked['language']): LabelFacts[] {
  const byName = new Intl.Collator(language);
  const byCode = new Intl.Collator('en', { numeric: true });
  return facts.sort((a, b) => byName.compare(a.household ?? '', b.household ?? '') || byCode.compare(a.code, b.code));
}
