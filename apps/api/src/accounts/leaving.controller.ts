import { Body, Controller, Get, Param, Post } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { leaving, primitives, settleLeaving } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { Allow, CurrentActor } from '../platform/auth/decorators.ts';
import { IfMatch } from '../platform/http/if-match.ts';
import { Operation } from '../platform/http/operation.ts';
import { LeavingService } from './leaving.service.ts';
import type { LeavingView } from './leaving.service.ts';

const anId = { schema: primitives.id };

@ApiTags('accounts')
@Controller('cooperatives/:cooperativeId/accounts/:householdId/leaving')
export class LeavingController {
  constructor(private readonly leavings: LeavingService) {}

  @Get()
  @Allow('coordinator')
  @Operation({ id: 'getLeaving', ok: leaving })
  preview(@CurrentActor() actor: Actor, @Param('householdId', anId) householdId: string): Promise<LeavingView> {
    return this.leavings.preview(actor, householdId);
  }

  @Post()
  @Allow('coordinator')
  @Operation({ id: 'settleLeaving', ok: leaving, errors: ['conflict', 'round-not-ready', 'already-confirmed'] })
  settle(
    @CurrentActor() actor: Actor,
    @Param('householdId', anId) householdId: string,
    @IfMatch() version: number,
    @Body({ schema: settleLeaving }) shown: z.infer<typeof settleLeaving>,
  ): Promise<LeavingView> {
    return this.leavings.settle(actor, householdId, version, shown);
  }
}
