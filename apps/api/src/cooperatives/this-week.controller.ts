import { Controller, Get, Query } from '@nestjs/common';
import { primitives, thisWeek } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { CurrentActor } from '../platform/auth/decorators.ts';
import { Operation } from '../platform/http/operation.ts';
import { ThisWeekService } from './this-week.service.ts';

@Controller('cooperatives/:cooperativeId/this-week')
export class ThisWeekController {
  constructor(private readonly weeks: ThisWeekService) {}

  @Get()
  @Operation({
    id: 'getThisWeek',
    summary: 'What is next for a household, and who cooks in the coming eight weeks',
    ok: thisWeek,
    errors: ['forbidden'],
  })
  get(
    @CurrentActor() actor: Actor,
    @Query('householdId', { schema: primitives.id.optional() }) householdId?: string,
  ): Promise<z.infer<typeof thisWeek>> {
    return this.weeks.get(actor, householdId);
  }
}
