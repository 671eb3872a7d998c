import { Body, Controller, Get, Param, Post, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import {
  answerRecall,
  closeRecall,
  primitives,
  recall,
  recallQuery,
  recalls,
  recallTrace,
  remindRecall,
  reportSuspicion,
  startRecall,
} from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { Allow, CurrentActor } from '../platform/auth/decorators.ts';
import { Operation } from '../platform/http/operation.ts';
import type { RecallAnswerView } from './recall-view.ts';
import { RecallsService } from './recalls.service.ts';

const anId = { schema: primitives.id };

@ApiTags('recalls')
@Controller('cooperatives/:cooperativeId')
export class RecallsController {
  constructor(private readonly service: RecallsService) {}

  @Get('recalls')
  @Operation({ id: 'listRecalls', summary: 'Recalls and suspicions', ok: recalls })
  list(@CurrentActor() actor: Actor): Promise<z.infer<typeof recalls>> {
    return this.service.list(actor);
  }

  @Allow('coordinator')
  @Get('recall-trace')
  @Operation({ id: 'traceRecall', summary: 'Where something went, before anybody is told', ok: recallTrace })
  trace(
    @CurrentActor() actor: Actor,
    @Query('source', { schema: recallQuery.shape.source }) source: z.infer<typeof recallQuery>['source'],
    @Query('sourceId', { schema: recallQuery.shape.sourceId }) sourceId: string,
  ): Promise<z.infer<typeof recallTrace>> {
    return this.service.trace(actor, source, sourceId);
  }

  @Allow('coordinator')
  @Post('recalls')
  @Operation({
    id: 'startRecall',
    summary: 'Call food back and tell everybody who has it',
    ok: recall,
    status: 201,
    errors: ['not-found'],
  })
  start(
    @CurrentActor() actor: Actor,
    @Body({ schema: startRecall }) typed: z.infer<typeof startRecall>,
  ): Promise<RecallAnswerView> {
    return this.service.start(actor, typed);
  }

  @Get('recalls/:recallId')
  @Operation({ id: 'getRecall', summary: 'My containers of a recall; for coordinators its report', ok: recall })
  find(@CurrentActor() actor: Actor, @Param('recallId', anId) recallId: string): Promise<RecallAnswerView> {
    return this.service.find(actor, recallId);
  }

  @Post('recalls/:recallId/answers')
  @Operation({ id: 'answerRecall', summary: 'What became of containers', ok: recall, errors: ['conflict'] })
  answer(
    @CurrentActor() actor: Actor,
    @Param('recallId', anId) recallId: string,
    @Body({ schema: answerRecall }) typed: z.infer<typeof answerRecall>,
  ): Promise<RecallAnswerView> {
    return this.service.answer(actor, recallId, typed);
  }

  @Allow('coordinator')
  @Post('recalls/:recallId/remind')
  @Operation({ id: 'remindRecall', summary: 'Tell a household once more', ok: recall, errors: ['conflict'] })
  remind(
    @CurrentActor() actor: Actor,
    @Param('recallId', anId) recallId: string,
    @Body({ schema: remindRecall }) { householdId }: z.infer<typeof remindRecall>,
  ): Promise<RecallAnswerView> {
    return this.service.remind(actor, recallId, householdId);
  }

  @Allow('coordinator')
  @Post('recalls/:recallId/close')
  @Operation({ id: 'closeRecall', summary: 'Close a recall for good', ok: recall, errors: ['conflict'] })
  close(
    @CurrentActor() actor: Actor,
    @Param('recallId', anId) recallId: string,
    @Body({ schema: closeRecall }) { words }: z.infer<typeof closeRecall>,
  ): Promise<RecallAnswerView> {
    return this.service.close(actor, recallId, words);
  }

  @Post('suspicions')
  @Operation({
    id: 'reportSuspicion',
    summary: 'Something may be wrong with a container',
    ok: recalls,
    status: 201,
    errors: ['not-found'],
  })
  suspect(
    @CurrentActor() actor: Actor,
    @Body({ schema: reportSuspicion }) typed: z.infer<typeof reportSuspicion>,
  ): Promise<z.infer<typeof recalls>> {
    return this.service.suspect(actor, typed);
  }
}
