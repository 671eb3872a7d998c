import { Body, Controller, Get, Param, Put } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { householdKitchen, primitives, saveHouseholdKitchen } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { CurrentActor } from '../platform/auth/decorators.ts';
import { IfMatch } from '../platform/http/if-match.ts';
import { Operation } from '../platform/http/operation.ts';
import type { HouseholdKitchenAnswer } from './household-kitchen.service.ts';
import { HouseholdKitchenService } from './household-kitchen.service.ts';

const anId = { schema: primitives.id };

@ApiTags('kitchen')
@Controller('cooperatives/:cooperativeId/households/:householdId/kitchen')
export class HouseholdKitchenController {
  constructor(private readonly service: HouseholdKitchenService) {}

  @Get()
  @Operation({ id: 'getHouseholdKitchen', summary: 'Hobs, ovens, pots and room of its kitchen', ok: householdKitchen })
  find(@CurrentActor() actor: Actor, @Param('householdId', anId) householdId: string): Promise<HouseholdKitchenAnswer> {
    return this.service.find(actor, householdId);
  }

  @Put()
  @Operation({ id: 'saveHouseholdKitchen', summary: 'What its kitchen has', ok: householdKitchen })
  save(
    @CurrentActor() actor: Actor,
    @Param('householdId', anId) householdId: string,
    @IfMatch() version: number,
    @Body({ schema: saveHouseholdKitchen }) body: z.infer<typeof saveHouseholdKitchen>,
  ): Promise<HouseholdKitchenAnswer> {
    return this.service.save(actor, householdId, version, body);
  }
}
