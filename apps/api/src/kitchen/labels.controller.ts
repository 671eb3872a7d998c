import { Controller, Get, Param, Query, StreamableFile } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { labelsQuery, primitives } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { CurrentActor } from '../platform/auth/decorators.ts';
import { Operation } from '../platform/http/operation.ts';
import { LabelsService } from './labels.service.ts';

type Asked = z.infer<typeof labelsQuery>;

@ApiTags('kitchen')
@Controller('cooperatives/:cooperativeId')
export class LabelsController {
  constructor(private readonly labels: LabelsService) {}

  @Get('rounds/:roundId/labels')
  @Operation({
    id: 'printLabels',
    summary: 'Labels of the sealed containers of a round, of one batch of it, or of what one household holds, to print',
    file: 'application/pdf',
    errors: ['none-left'],
  })
  async print(
    @CurrentActor() actor: Actor,
    @Param('roundId', { schema: primitives.id }) roundId: string,
    @Query('sheet', { schema: labelsQuery.shape.sheet }) onSheet: Asked['sheet'],
    @Query('language', { schema: labelsQuery.shape.language }) inLanguage: Asked['language'],
    @Query('first', { schema: labelsQuery.shape.first }) from: number,
    @Query('batchId', { schema: labelsQuery.shape.batchId }) ofBatch?: string,
    @Query('householdId', { schema: labelsQuery.shape.householdId }) ofHousehold?: string,
  ): Promise<StreamableFile> {
    const asked = { sheet: onSheet, language: inLanguage, first: from, batchId: ofBatch, householdId: ofHousehold };
    const { name, pdf } = await this.labels.print(actor, roundId, asked);
    return new StreamableFile(pdf, { type: 'application/pdf', disposition: `attachment; filename="${name}"` });
  }
}
