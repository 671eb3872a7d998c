import { Body, Controller, Param, Post } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { answerRing, job, primitives, swapRing } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { CurrentActor } from '../platform/auth/decorators.ts';
import { IfMatch } from '../platform/http/if-match.ts';
import { Operation } from '../platform/http/operation.ts';
import { RingAnswerService } from './ring-answer.service.ts';
import { RingJobs } from './ring-jobs.service.ts';
import type { RingView } from './ring.view.ts';

@ApiTags('swaps')
@Controller('cooperatives/:cooperativeId/swap-rings')
export class RingsController {
  constructor(
    private readonly answers: RingAnswerService,
    private readonly searches: RingJobs,
  ) {}

  @Post()
  @Operation({ id: 'findRings', summary: 'Looks for rings, as a job of the kind find-rings', ok: job, status: 202 })
  find(@CurrentActor() actor: Actor): Promise<z.infer<typeof job>> {
    return this.searches.start(actor);
  }

  @Post(':swapRingId/answer')
  @Operation({
    id: 'answerRing',
    summary:
      'Says yes or no to a ring; the last yes moves everything. If-Match is the version of the household’s answer',
    ok: swapRing,
    errors: ['swap-closed', 'not-swappable', 'excluded-food'],
  })
  answer(
    @CurrentActor() actor: Actor,
    @Param('swapRingId', { schema: primitives.id }) ringId: string,
    @IfMatch() version: number,
    @Body({ schema: answerRing }) body: z.infer<typeof answerRing>,
  ): Promise<RingView> {
    return this.answers.answer(actor, ringId, version, body);
  }
}
