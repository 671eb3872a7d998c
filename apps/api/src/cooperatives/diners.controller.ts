import { Body, Controller, Delete, Param, Patch, Post } from '@nestjs/common';
import { household, primitives, saveDiner } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { CurrentActor } from '../platform/auth/decorators.ts';
import { IfMatch } from '../platform/http/if-match.ts';
import { Operation } from '../platform/http/operation.ts';
import { DinersService } from './diners.service.ts';
import type { Household } from './household-view.ts';

@Controller('cooperatives/:cooperativeId/households/:householdId/diners')
export class DinersController {
  constructor(private readonly diners: DinersService) {}

  @Post()
  @Operation({ id: 'addDiner', summary: 'Somebody who eats', ok: household, status: 201 })
  add(
    @CurrentActor() actor: Actor,
    @Param('householdId', { schema: primitives.id }) householdId: string,
    @Body({ schema: saveDiner }) body: z.infer<typeof saveDiner>,
  ): Promise<Household> {
    return this.diners.add(actor, householdId, body);
  }

  @Patch(':dinerId')
  @Operation({ id: 'changeDiner', summary: 'Change somebody who eats; If-Match is the diner’s version', ok: household })
  change(
    @CurrentActor() actor: Actor,
    @Param('householdId', { schema: primitives.id }) householdId: string,
    @Param('dinerId', { schema: primitives.id }) dinerId: string,
    @IfMatch() version: number,
    @Body({ schema: saveDiner }) body: z.infer<typeof saveDiner>,
  ): Promise<Household> {
    return this.diners.change(actor, householdId, dinerId, version, body);
  }

  @Delete(':dinerId')
  @Operation({ id: 'removeDiner', summary: 'Take somebody out; If-Match is the diner’s version', ok: household })
  remove(
    @CurrentActor() actor: Actor,
    @Param('householdId', { schema: primitives.id }) householdId: string,
    @Param('dinerId', { schema: primitives.id }) dinerId: string,
    @IfMatch() version: number,
  ): Promise<Household> {
    return this.diners.remove(actor, householdId, dinerId, version);
  }
}
