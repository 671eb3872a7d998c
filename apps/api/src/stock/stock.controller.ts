import { Body, Controller, Get, Param, Patch, Post, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { container, endContainer, freezer, moveContainer, primitives } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { CurrentActor } from '../platform/auth/decorators.ts';
import { IfMatch } from '../platform/http/if-match.ts';
import { Operation } from '../platform/http/operation.ts';
import type { ContainerCard } from './container-card.ts';
import type { FreezerView } from './freezer.view.ts';
import { StockService } from './stock.service.ts';

const anId = { schema: primitives.id };
const whose = { schema: primitives.id.optional() };

@ApiTags('stock')
@Controller('cooperatives/:cooperativeId')
export class StockController {
  constructor(private readonly stock: StockService) {}

  @Get('freezer')
  @Operation({ id: 'getFreezer', ok: freezer })
  freezer(@CurrentActor() actor: Actor, @Query('householdId', whose) householdId?: string): Promise<FreezerView> {
    return this.stock.freezer(actor, householdId);
  }

  @Post('containers/:containerId/end')
  @Operation({ id: 'endContainer', ok: container, errors: ['container-not-free', 'household-left'] })
  end(
    @CurrentActor() actor: Actor,
    @Param('containerId', anId) containerId: string,
    @IfMatch() version: number,
    @Body({ schema: endContainer }) ending: z.infer<typeof endContainer>,
  ): Promise<ContainerCard> {
    return this.stock.end(actor, containerId, version, ending);
  }

  @Post('containers/:containerId/restore')
  @Operation({ id: 'restoreContainer', ok: container, errors: ['household-left', 'conflict'] })
  restore(
    @CurrentActor() actor: Actor,
    @Param('containerId', anId) containerId: string,
    @IfMatch() version: number,
  ): Promise<ContainerCard> {
    return this.stock.restore(actor, containerId, version);
  }

  @Patch('containers/:containerId')
  @Operation({ id: 'moveContainer', ok: container, errors: ['container-not-free'] })
  move(
    @CurrentActor() actor: Actor,
    @Param('containerId', anId) containerId: string,
    @IfMatch() version: number,
    @Body({ schema: moveContainer }) { place }: z.infer<typeof moveContainer>,
  ): Promise<ContainerCard> {
    return this.stock.move(actor, containerId, version, place);
  }
}
