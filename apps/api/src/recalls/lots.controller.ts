import { Body, Controller, Get, Param, Post } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import {
  batchLotChoices,
  batchLots,
  lot,
  primitives,
  recallSources,
  saveLot,
  tellBatchLots,
} from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { CurrentActor } from '../platform/auth/decorators.ts';
import { Operation } from '../platform/http/operation.ts';
import { LotsService } from './lots.service.ts';

@ApiTags('recalls')
@Controller('cooperatives/:cooperativeId')
export class LotsController {
  constructor(private readonly service: LotsService) {}

  @Get('recall-sources')
  @Operation({
    id: 'getRecallSources',
    summary: 'Lots, receipt lines and batches that can be called back',
    ok: recallSources,
  })
  sources(@CurrentActor() actor: Actor): Promise<z.infer<typeof recallSources>> {
    return this.service.sources(actor);
  }

  @Post('lots')
  @Operation({
    id: 'saveLot',
    summary: 'The lot code of something that was bought',
    ok: lot,
    status: 201,
    errors: ['not-found', 'conflict'],
  })
  save(
    @CurrentActor() actor: Actor,
    @Body({ schema: saveLot }) typed: z.infer<typeof saveLot>,
  ): Promise<z.infer<typeof lot>> {
    return this.service.save(actor, typed);
  }

  @Get('batches/:batchId/lots')
  @Operation({
    id: 'getBatchLots',
    summary: 'Which lots may have gone into a batch, and which did',
    ok: batchLotChoices,
    errors: ['not-found'],
  })
  choices(
    @CurrentActor() actor: Actor,
    @Param('batchId', { schema: primitives.id }) batchId: string,
  ): Promise<z.infer<typeof batchLotChoices>> {
    return this.service.choices(actor, batchId);
  }

  @Post('batches/:batchId/lots')
  @Operation({ id: 'tellBatchLots', summary: 'Which lots went into a batch', ok: batchLots, errors: ['not-found'] })
  tellBatch(
    @CurrentActor() actor: Actor,
    @Param('batchId', { schema: primitives.id }) batchId: string,
    @Body({ schema: tellBatchLots }) { lotIds }: z.infer<typeof tellBatchLots>,
  ): Promise<z.infer<typeof batchLots>> {
    return this.service.tellBatch(actor, batchId, lotIds);
  }
}
