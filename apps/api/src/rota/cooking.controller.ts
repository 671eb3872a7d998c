import { Body, Controller, Get, Param, Put } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { householdCooking, primitives, saveHouseholdCooking } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { CurrentActor } from '../platform/auth/decorators.ts';
import { IfMatch } from '../platform/http/if-match.ts';
import { Operation } from '../platform/http/operation.ts';
import { CookingService, type CookingView } from './cooking.service.ts';

@ApiTags('rota')
@Controller('cooperatives/:cooperativeId/households/:householdId/cooking')
export class CookingController {
  constructor(private readonly cooking: CookingService) {}

  @Get()
  @Operation({ id: 'getHouseholdCooking', summary: 'What a household’s turns depend on', ok: householdCooking })
  get(
    @CurrentActor() actor: Actor,
    @Param('householdId', { schema: primitives.id }) householdId: string,
  ): Promise<CookingView> {
    return this.cooking.get(actor, householdId);
  }

  @Put()
  @Operation({ id: 'saveHouseholdCooking', summary: 'Its pots, rest, away weeks and dishes', ok: householdCooking })
  save(
    @CurrentActor() actor: Actor,
    @Param('householdId', { schema: primitives.id }) householdId: string,
    @IfMatch() version: number,
    @Body({ schema: saveHouseholdCooking }) body: z.infer<typeof saveHouseholdCooking>,
  ): Promise<CookingView> {
    return this.cooking.save(actor, householdId, version, body);
  }
}
