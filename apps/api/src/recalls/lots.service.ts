import { Injectable } from '@nestjs/common';
import type { batchLotChoices, batchLots, recallSources, saveLot } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { tell } from '../platform/events/tell.ts';
import { LotsRepository, type LotAnswer } from './lots.repository.ts';

/** Which lots were bought and where they went: what a recall is traced by. */
@Injectable()
export class LotsService {
  constructor(
    private readonly unitOfWork: UnitOfWork,
    private readonly lots: LotsRepository,
  ) {}

  sources(actor: Actor): Promise<z.infer<typeof recallSources>> {
    return this.unitOfWork.read(actor, async (tx) => ({
      lots: await this.lots.list(tx, actor),
      receiptLines: await this.lots.receiptLines(tx, actor),
      batches: await this.lots.batches(tx, actor),
    }));
  }

  save(actor: Actor, typed: z.infer<typeof saveLot>): Promise<LotAnswer> {
    return this.unitOfWork.write(actor, async (tx) => {
      const lot = await this.lots.add(tx, actor, typed);
      await tell(tx, actor, 'buying');
      await tell(tx, actor, 'recalls');
      return lot;
    });
  }

  choices(actor: Actor, batchId: string): Promise<z.infer<typeof batchLotChoices>> {
    return this.unitOfWork.read(actor, async (tx) => ({
      batchId,
      ingredients: await this.lots.choices(tx, actor, batchId),
    }));
  }

  tellBatch(actor: Actor, batchId: string, lotIds: readonly string[]): Promise<z.infer<typeof batchLots>> {
    return this.unitOfWork.write(actor, async (tx) => {
      await this.lots.tellBatch(tx, actor, batchId, lotIds);
      await tell(tx, actor, 'kitchen', batchId);
      await tell(tx, actor, 'recalls');
      return { batchId, lots: await this.lots.ofBatch(tx, actor, batchId) };
    });
  }
}
