import { Body, Controller, Get, Param, Post } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { enterStepDone, job, primitives, runSheet, workOutRunSheet } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { CurrentActor } from '../platform/auth/decorators.ts';
import { Operation } from '../platform/http/operation.ts';
import type { RunSheetAnswer } from './run-sheet-answer.ts';
import { RunSheetJob } from './run-sheet-job.ts';
import { RunSheetService } from './run-sheet.service.ts';

const anId = { schema: primitives.id };

@ApiTags('kitchen')
@Controller('cooperatives/:cooperativeId/cook-days/:cookDayId')
export class RunSheetController {
  constructor(
    private readonly service: RunSheetService,
    private readonly jobs: RunSheetJob,
  ) {}

  @Get('run-sheet')
  @Operation({
    id: 'getRunSheet',
    summary: 'The order of work of a cook day, and the steps that are done',
    ok: runSheet,
  })
  find(@CurrentActor() actor: Actor, @Param('cookDayId', anId) cookDayId: string): Promise<RunSheetAnswer> {
    return this.service.find(actor, cookDayId);
  }

  @Post('run-sheet')
  @Operation({
    id: 'workOutRunSheet',
    summary: 'Begin to work the run sheet out as things stand; the newest counts',
    ok: job,
    status: 202,
    errors: ['round-stage'],
  })
  workOut(
    @CurrentActor() actor: Actor,
    @Param('cookDayId', anId) cookDayId: string,
    @Body({ schema: workOutRunSheet }) body: z.infer<typeof workOutRunSheet>,
  ): Promise<z.infer<typeof job>> {
    return this.jobs.start(actor, cookDayId, body);
  }

  @Post('steps-done')
  @Operation({
    id: 'enterStepDone',
    summary: 'A step done or taken back, with when; a device may have been offline since',
    ok: runSheet,
    status: 201,
    errors: ['round-stage'],
  })
  enterStep(
    @CurrentActor() actor: Actor,
    @Param('cookDayId', anId) cookDayId: string,
    @Body({ schema: enterStepDone }) body: z.infer<typeof enterStepDone>,
  ): Promise<RunSheetAnswer> {
    return this.service.enterStep(actor, cookDayId, body);
  }
}
