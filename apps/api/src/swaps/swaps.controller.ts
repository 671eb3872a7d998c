import { Body, Controller, Get, Param, Post, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { answerSwap, primitives, proposeSwap, swap, swapBoard } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { CurrentActor } from '../platform/auth/decorators.ts';
import { IfMatch } from '../platform/http/if-match.ts';
import { Operation } from '../platform/http/operation.ts';
import { SwapAnswerService } from './swap-answer.service.ts';
import type { SwapBoardView, SwapView } from './swap.view.ts';
import { SwapsService } from './swaps.service.ts';

@ApiTags('swaps')
@Controller('cooperatives/:cooperativeId/swaps')
export class SwapsController {
  constructor(
    private readonly swaps: SwapsService,
    private readonly answers: SwapAnswerService,
  ) {}

  @Get()
  @Operation({ id: 'getSwaps', ok: swapBoard })
  board(
    @CurrentActor() actor: Actor,
    @Query('householdId', { schema: primitives.id.optional() }) householdId?: string,
  ): Promise<SwapBoardView> {
    return this.swaps.board(actor, householdId);
  }

  @Post()
  @Operation({
    id: 'proposeSwap',
    ok: swap,
    status: 201,
    errors: ['household-left', 'not-swappable', 'excluded-food', 'swap-closed'],
  })
  propose(
    @CurrentActor() actor: Actor,
    @Body({ schema: proposeSwap }) proposal: z.infer<typeof proposeSwap>,
  ): Promise<SwapView> {
    return this.swaps.propose(actor, proposal);
  }

  @Post(':swapId/answer')
  @Operation({ id: 'answerSwap', ok: swap, errors: ['swap-closed', 'not-swappable', 'excluded-food'] })
  answer(
    @CurrentActor() actor: Actor,
    @Param('swapId', { schema: primitives.id }) swapId: string,
    @IfMatch() version: number,
    @Body({ schema: answerSwap }) answer: z.infer<typeof answerSwap>,
  ): Promise<SwapView> {
    return this.answers.answer(actor, swapId, version, answer);
  }
}
