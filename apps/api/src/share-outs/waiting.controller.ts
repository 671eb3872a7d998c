import { Body, Controller, Param, Post } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { claimOfDish, claimResult, joinWaiting, primitives, waiting } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { CurrentActor } from '../platform/auth/decorators.ts';
import { IfMatch } from '../platform/http/if-match.ts';
import { Operation } from '../platform/http/operation.ts';
import { ClaimsService } from './claims.service.ts';
import { WaitingService } from './waiting.service.ts';

const anId = { schema: primitives.id };

@ApiTags('share-outs')
@Controller('cooperatives/:cooperativeId')
export class WaitingController {
  constructor(
    private readonly waitings: WaitingService,
    private readonly claims: ClaimsService,
  ) {}

  @Post('rounds/:roundId/dish-claims')
  @Operation({
    id: 'claimOfDish',
    ok: claimResult,
    errors: [
      'none-left',
      'claims-closed',
      'claims-not-yet',
      'claims-over',
      'no-claims',
      'participant-missing',
      'household-left',
      'over-allowance',
      'excluded-food',
    ],
  })
  claimOfDish(
    @CurrentActor() actor: Actor,
    @Param('roundId', anId) roundId: string,
    @Body({ schema: claimOfDish }) asked: z.infer<typeof claimOfDish>,
  ): Promise<z.infer<typeof claimResult>> {
    return this.claims.claimOfDish(actor, roundId, asked);
  }

  @Post('waiting')
  @Operation({ id: 'joinWaiting', ok: waiting, status: 201, errors: ['conflict', 'no-claims', 'household-left'] })
  join(
    @CurrentActor() actor: Actor,
    @Body({ schema: joinWaiting }) { householdId, recipeId }: z.infer<typeof joinWaiting>,
  ): Promise<z.infer<typeof waiting>> {
    return this.waitings.join(actor, householdId, recipeId);
  }

  @Post('waiting/:waitingId/leave')
  @Operation({ id: 'leaveWaiting', ok: waiting, errors: ['conflict'] })
  leave(
    @CurrentActor() actor: Actor,
    @Param('waitingId', anId) waitingId: string,
    @IfMatch() version: number,
  ): Promise<z.infer<typeof waiting>> {
    return this.waitings.leave(actor, waitingId, version);
  }
}
