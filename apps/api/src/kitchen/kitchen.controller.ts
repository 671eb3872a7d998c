import { Body, Controller, Get, Param, Post, Put } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { batch, enterReading, enterYield, kitchen, primitives, yieldEntered } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { CurrentActor } from '../platform/auth/decorators.ts';
import { IfMatch } from '../platform/http/if-match.ts';
import { Operation } from '../platform/http/operation.ts';
import { KitchenService } from './kitchen.service.ts';

const anId = { schema: primitives.id };

@ApiTags('kitchen')
@Controller('cooperatives/:cooperativeId')
export class KitchenController {
  constructor(private readonly service: KitchenService) {}

  @Get('rounds/:roundId/kitchen')
  @Operation({ id: 'getKitchen', summary: 'Cook days, batches and bases of a round', ok: kitchen })
  find(@CurrentActor() actor: Actor, @Param('roundId', anId) roundId: string): Promise<z.infer<typeof kitchen>> {
    return this.service.find(actor, roundId);
  }

  @Put('batches/:batchId/yield')
  @Operation({
    id: 'enterYield',
    summary: 'What really came out of a batch, in sealed containers; none: it was thrown away',
    ok: yieldEntered,
    errors: ['round-stage', 'already-confirmed'],
  })
  enterYield(
    @CurrentActor() actor: Actor,
    @Param('batchId', anId) batchId: string,
    @IfMatch() version: number,
    @Body({ schema: enterYield }) body: z.infer<typeof enterYield>,
  ): Promise<z.infer<typeof yieldEntered>> {
    return this.service.enterYield(actor, batchId, version, body);
  }

  @Post('batches/:batchId/readings')
  @Operation({
    id: 'enterReading',
    summary: 'A core temperature of a cooling batch, with when it was measured',
    ok: batch,
    status: 201,
    errors: ['round-stage', 'conflict'],
  })
  enterReading(
    @CurrentActor() actor: Actor,
    @Param('batchId', anId) batchId: string,
    @Body({ schema: enterReading }) body: z.infer<typeof enterReading>,
  ): Promise<z.infer<typeof batch>> {
    return this.service.enterReading(actor, batchId, body);
  }
}
