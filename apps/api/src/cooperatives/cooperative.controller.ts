import { Body, Controller, Get, Patch } from '@nestjs/common';
import { changeCooperative, cooperative } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { Allow, CurrentActor } from '../platform/auth/decorators.ts';
import { IfMatch } from '../platform/http/if-match.ts';
import { Operation } from '../platform/http/operation.ts';
import { CooperativeService } from './cooperative.service.ts';

@Controller('cooperatives/:cooperativeId')
export class CooperativeController {
  constructor(private readonly cooperatives: CooperativeService) {}

  @Get()
  @Operation({ id: 'getCooperative', summary: 'The cooperative, its policies and its date', ok: cooperative })
  get(@CurrentActor() actor: Actor): Promise<z.infer<typeof cooperative>> {
    return this.cooperatives.get(actor);
  }

  @Allow('coordinator')
  @Patch()
  @Operation({ id: 'changeCooperative', summary: 'Change its policies', ok: cooperative })
  change(
    @CurrentActor() actor: Actor,
    @IfMatch() version: number,
    @Body({ schema: changeCooperative }) body: z.infer<typeof changeCooperative>,
  ): Promise<z.infer<typeof cooperative>> {
    return this.cooperatives.change(actor, version, body);
  }
}
