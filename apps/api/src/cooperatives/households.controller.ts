import { Body, Controller, Get, Param, Patch, Post } from '@nestjs/common';
import { household, households, primitives, saveHousehold } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { Allow, CurrentActor } from '../platform/auth/decorators.ts';
import { IfMatch } from '../platform/http/if-match.ts';
import { Operation } from '../platform/http/operation.ts';
import { HouseholdsService } from './households.service.ts';
import type { Household } from './household-view.ts';

@Controller('cooperatives/:cooperativeId/households')
export class HouseholdsController {
  constructor(private readonly households: HouseholdsService) {}

  @Get()
  @Operation({ id: 'listHouseholds', summary: 'Every household, with who eats', ok: households })
  list(@CurrentActor() actor: Actor): Promise<z.infer<typeof households>> {
    return this.households.all(actor);
  }

  @Allow('coordinator')
  @Post()
  @Operation({
    id: 'createHousehold',
    summary: 'A further household',
    ok: household,
    status: 201,
    errors: ['conflict'],
  })
  create(
    @CurrentActor() actor: Actor,
    @Body({ schema: saveHousehold }) body: z.infer<typeof saveHousehold>,
  ): Promise<Household> {
    return this.households.create(actor, body);
  }

  @Get(':householdId')
  @Operation({ id: 'getHousehold', summary: 'One household', ok: household })
  get(
    @CurrentActor() actor: Actor,
    @Param('householdId', { schema: primitives.id }) householdId: string,
  ): Promise<Household> {
    return this.households.get(actor, householdId);
  }

  @Patch(':householdId')
  @Operation({
    id: 'changeHousehold',
    summary: 'Change its name, freezer or number',
    ok: household,
    errors: ['conflict'],
  })
  change(
    @CurrentActor() actor: Actor,
    @Param('householdId', { schema: primitives.id }) householdId: string,
    @IfMatch() version: number,
    @Body({ schema: saveHousehold }) body: z.infer<typeof saveHousehold>,
  ): Promise<Household> {
    return this.households.change(actor, householdId, version, body);
  }
}
