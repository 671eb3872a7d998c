import { Body, Controller, Delete, Get, Param, Post, Put } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { coverTurn, job, primitives, proposeRota, rota, rotaTurnHistory, saveRotaTurns } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { Allow, CurrentActor } from '../platform/auth/decorators.ts';
import { IfMatch } from '../platform/http/if-match.ts';
import { Operation } from '../platform/http/operation.ts';
import type { JobView } from '../platform/jobs/jobs.service.ts';
import { DraftService } from './draft.service.ts';
import type { RotaView } from './draft.view.ts';
import { ProposalService } from './proposal.service.ts';
import { PublishService } from './publish.service.ts';
import { RotaService } from './rota.service.ts';
import { TurnsService } from './turns.service.ts';

const anId = { schema: primitives.id };

@ApiTags('rota')
@Controller('cooperatives/:cooperativeId')
export class RotaController {
  constructor(
    private readonly rotas: RotaService,
    private readonly proposals: ProposalService,
    private readonly drafts: DraftService,
    private readonly publishing: PublishService,
    private readonly turns: TurnsService,
  ) {}

  @Get('rota')
  @Operation({ id: 'getRota', summary: 'The draft and the published turns', ok: rota })
  view(@CurrentActor() actor: Actor): Promise<RotaView> {
    return this.rotas.view(actor);
  }

  @Allow('coordinator')
  @Post('rota-proposals')
  @Operation({ id: 'proposeRota', summary: 'Work out who cooks when', ok: job, status: 202 })
  propose(
    @CurrentActor() actor: Actor,
    @Body({ schema: proposeRota }) asked: z.infer<typeof proposeRota>,
  ): Promise<JobView> {
    return this.proposals.start(actor, asked);
  }

  @Allow('coordinator')
  @Put('rota-proposals/:rotaId/turns')
  @Operation({ id: 'saveRotaTurns', summary: 'Set turns of a draft by hand', ok: rota, errors: ['already-confirmed'] })
  saveTurns(
    @CurrentActor() actor: Actor,
    @Param('rotaId', anId) rotaId: string,
    @IfMatch() version: number,
    @Body({ schema: saveRotaTurns }) body: z.infer<typeof saveRotaTurns>,
  ): Promise<RotaView> {
    return this.drafts.saveTurns(actor, rotaId, version, body);
  }

  @Allow('coordinator')
  @Post('rota-proposals/:rotaId/limits')
  @Operation({ id: 'acceptRotaLimits', summary: 'Accept what it breaks', ok: rota, errors: ['already-confirmed'] })
  acceptLimits(
    @CurrentActor() actor: Actor,
    @Param('rotaId', anId) rotaId: string,
    @IfMatch() version: number,
  ): Promise<RotaView> {
    return this.drafts.acceptLimits(actor, rotaId, version);
  }

  @Allow('coordinator')
  @Post('rota-proposals/:rotaId/publish')
  @Operation({ id: 'publishRota', summary: 'Publish it', ok: rota, errors: ['already-confirmed', 'rota-limits'] })
  publish(
    @CurrentActor() actor: Actor,
    @Param('rotaId', anId) rotaId: string,
    @IfMatch() version: number,
  ): Promise<RotaView> {
    return this.publishing.publish(actor, rotaId, version);
  }

  @Allow('coordinator')
  @Delete('rota-proposals/:rotaId')
  @Operation({ id: 'setRotaAside', summary: 'Give a draft up', ok: rota, errors: ['already-confirmed'] })
  setAside(
    @CurrentActor() actor: Actor,
    @Param('rotaId', anId) rotaId: string,
    @IfMatch() version: number,
  ): Promise<RotaView> {
    return this.drafts.setAside(actor, rotaId, version);
  }

  @Get('rota-turns/:turnId')
  @Operation({ id: 'getRotaTurn', summary: 'A turn, and whose it was', ok: rotaTurnHistory })
  history(
    @CurrentActor() actor: Actor,
    @Param('turnId', anId) turnId: string,
  ): Promise<z.infer<typeof rotaTurnHistory>> {
    return this.rotas.history(actor, turnId);
  }

  @Post('rota-turns/:turnId/release')
  @Operation({ id: 'releaseTurn', summary: 'Its household cannot cook', ok: rota, errors: ['turn-moved'] })
  release(
    @CurrentActor() actor: Actor,
    @Param('turnId', anId) turnId: string,
    @IfMatch() version: number,
  ): Promise<RotaView> {
    return this.turns.release(actor, turnId, version);
  }

  @Post('rota-turns/:turnId/cover')
  @Operation({
    id: 'coverTurn',
    summary: 'Another household takes it',
    ok: rota,
    errors: ['household-left', 'turn-moved', 'rota-limits'],
  })
  cover(
    @CurrentActor() actor: Actor,
    @Param('turnId', anId) turnId: string,
    @IfMatch() version: number,
    @Body({ schema: coverTurn }) body: z.infer<typeof coverTurn>,
  ): Promise<RotaView> {
    return this.turns.cover(actor, turnId, version, body);
  }
}
