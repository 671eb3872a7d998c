import { Controller, Get, Param, Post, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { job, jobQuery, latestJob, primitives } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../auth/actor.ts';
import { CurrentActor } from '../auth/decorators.ts';
import { Operation } from '../http/operation.ts';
import { Jobs, type JobView } from './jobs.service.ts';

@ApiTags('jobs')
@Controller('cooperatives/:cooperativeId/jobs')
export class JobsController {
  constructor(private readonly jobs: Jobs) {}

  @Get()
  @Operation({ id: 'getLatestJob', summary: 'The newest job of a kind about one thing', ok: latestJob })
  latest(
    @CurrentActor() actor: Actor,
    @Query('kind', { schema: jobQuery.shape.kind }) kind: string,
    @Query('subjectId', { schema: jobQuery.shape.subjectId }) subjectId?: string,
  ): Promise<z.infer<typeof latestJob>> {
    return this.jobs.latest(actor, kind, subjectId ?? null);
  }

  @Get(':jobId')
  @Operation({ id: 'getJob', summary: 'How far long work is, and what came of it', ok: job })
  find(@CurrentActor() actor: Actor, @Param('jobId', { schema: primitives.id }) jobId: string): Promise<JobView> {
    return this.jobs.find(actor, jobId);
  }

  @Post(':jobId/stop')
  @Operation({ id: 'stopJob', summary: 'Stop long work and keep the best so far', ok: job })
  stop(@CurrentActor() actor: Actor, @Param('jobId', { schema: primitives.id }) jobId: string): Promise<JobView> {
    return this.jobs.stop(actor, jobId);
  }
}
