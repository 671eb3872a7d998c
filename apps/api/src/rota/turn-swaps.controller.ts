import { Body, Controller, Get, Param, Post, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { answerTurnSwap, primitives, proposeTurnSwap, turnSwap, turnSwaps } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { CurrentActor } from '../platform/auth/decorators.ts';
import { IfMatch } from '../platform/http/if-match.ts';
import { Operation } from '../platform/http/operation.ts';
import { TurnSwapsService } from './turn-swaps.service.ts';

type SwapView = z.infer<typeof turnSwap>;

@ApiTags('rota')
@Controller('cooperatives/:cooperativeId/turn-swaps')
export class TurnSwapsController {
  constructor(private readonly swaps: TurnSwapsService) {}

  @Get()
  @Operation({ id: 'getTurnSwaps', summary: 'A household’s turns and swaps of them', ok: turnSwaps })
  board(
    @CurrentActor() actor: Actor,
    @Query('householdId', { schema: primitives.id.optional() }) householdId?: string,
  ): Promise<z.infer<typeof turnSwaps>> {
    return this.swaps.board(actor, householdId);
  }

  @Post()
  @Operation({
    id: 'proposeTurnSwap',
    ok: turnSwap,
    status: 201,
    errors: ['household-left', 'turn-moved', 'rota-limits'],
  })
  propose(
    @CurrentActor() actor: Actor,
    @Body({ schema: proposeTurnSwap }) proposal: z.infer<typeof proposeTurnSwap>,
  ): Promise<SwapView> {
    return this.swaps.propose(actor, proposal);
  }

  @Post(':turnSwapId/answer')
  @Operation({
    id: 'answerTurnSwap',
    ok: turnSwap,
    errors: ['household-left', 'swap-closed', 'turn-moved', 'rota-limits'],
  })
  answer(
    @CurrentActor() actor: Actor,
    @Param('turnSwapId', { schema: primitives.id }) turnSwapId: string,
    @IfMatch() version: number,
    @Body({ schema: answerTurnSwap }) answer: z.infer<typeof answerTurnSwap>,
  ): Promise<SwapView> {
    return this.swaps.answer(actor, turnSwapId, version, answer);
  }
}
