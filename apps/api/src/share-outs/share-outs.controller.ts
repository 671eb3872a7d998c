import { Body, Controller, Get, Param, Post, Put, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import {
  claimAll,
  correctShareOut,
  job,
  previewQuery,
  primitives,
  searchShareOut,
  setClaimWindow,
  shareOut,
  shareOutPreview,
  shareOutProof,
} from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { Allow, CurrentActor } from '../platform/auth/decorators.ts';
import { IfMatch } from '../platform/http/if-match.ts';
import { Operation } from '../platform/http/operation.ts';
import { ClaimsService } from './claims.service.ts';
import { ClaimWindowService } from './claim-window.service.ts';
import { CorrectionsService } from './corrections.service.ts';
import { PreviewService } from './preview.service.ts';
import { ShareOutJob } from './share-out-job.ts';
import { ShareOutService } from './share-out.service.ts';
import type { ShareOutView } from './share-out.view.ts';

const anId = { schema: primitives.id };

@ApiTags('share-outs')
@Controller('cooperatives/:cooperativeId')
export class ShareOutsController {
  constructor(
    private readonly shareOuts: ShareOutService,
    private readonly claims: ClaimsService,
    private readonly windows: ClaimWindowService,
    private readonly corrections: CorrectionsService,
    private readonly previews: PreviewService,
    private readonly searches: ShareOutJob,
  ) {}

  @Get('rounds/:roundId/share-out')
  @Operation({ id: 'getShareOut', ok: shareOut })
  view(@CurrentActor() actor: Actor, @Param('roundId', anId) roundId: string): Promise<ShareOutView> {
    return this.shareOuts.view(actor, roundId);
  }

  @Post('rounds/:roundId/share-out')
  @Allow('coordinator')
  @Operation({
    id: 'proposeShareOut',
    ok: shareOut,
    status: 201,
    errors: ['round-stage', 'round-not-ready', 'already-confirmed', 'conflict'],
  })
  propose(@CurrentActor() actor: Actor, @Param('roundId', anId) roundId: string): Promise<ShareOutView> {
    return this.shareOuts.propose(actor, roundId);
  }

  @Post('rounds/:roundId/share-out/search')
  @Allow('coordinator')
  @Operation({
    id: 'searchShareOut',
    summary: 'Works the share-out out as a job of the kind share-out about the round',
    ok: job,
    status: 202,
    errors: ['round-stage', 'already-confirmed'],
  })
  search(
    @CurrentActor() actor: Actor,
    @Param('roundId', anId) roundId: string,
    @Body({ schema: searchShareOut }) asked: z.infer<typeof searchShareOut>,
  ): Promise<z.infer<typeof job>> {
    return this.searches.start(actor, roundId, asked);
  }

  @Get('rounds/:roundId/share-out/preview')
  @Operation({
    id: 'previewShareOut',
    summary: 'What a share-out would give, and what a change would make of it; keeps nothing',
    ok: shareOutPreview,
    errors: ['round-stage', 'already-confirmed', 'round-not-ready'],
  })
  preview(
    @CurrentActor() actor: Actor,
    @Param('roundId', anId) roundId: string,
    @Query('varietyWindow', { schema: previewQuery.shape.varietyWindow }) varietyWindow?: string,
    @Query('without', { schema: previewQuery.shape.without }) without?: string,
    @Query('away', { schema: previewQuery.shape.away }) away?: string,
  ): Promise<z.infer<typeof shareOutPreview>> {
    return this.previews.preview(actor, roundId, { varietyWindow, without, away });
  }

  @Post('share-outs/:shareOutId/confirm')
  @Allow('coordinator')
  @Operation({
    id: 'confirmShareOut',
    ok: shareOut,
    errors: ['round-stage', 'round-not-ready', 'already-confirmed', 'conflict'],
  })
  confirm(
    @CurrentActor() actor: Actor,
    @Param('shareOutId', anId) shareOutId: string,
    @IfMatch() version: number,
  ): Promise<ShareOutView> {
    return this.shareOuts.confirm(actor, shareOutId, version);
  }

  @Get('share-outs/:shareOutId/proof')
  @Allow('coordinator')
  @Operation({ id: 'getShareOutProof', ok: shareOutProof })
  async proof(
    @CurrentActor() actor: Actor,
    @Param('shareOutId', anId) shareOutId: string,
  ): Promise<z.input<typeof shareOutProof>> {
    const { id, roundId, state, proof, input, result, assigned } = await this.shareOuts.proof(actor, shareOutId);
    return { shareOutId: id, roundId, state, proof, input: { ...input }, result: { ...result }, assigned };
  }

  @Post('share-outs/:shareOutId/corrections')
  @Allow('coordinator')
  @Operation({
    id: 'correctShareOut',
    ok: shareOut,
    status: 201,
    errors: ['household-left', 'round-not-ready', 'round-stage', 'conflict', 'container-not-free', 'excluded-food'],
  })
  correct(
    @CurrentActor() actor: Actor,
    @Param('shareOutId', anId) shareOutId: string,
    @Body({ schema: correctShareOut }) asked: z.infer<typeof correctShareOut>,
  ): Promise<ShareOutView> {
    return this.corrections.correct(actor, shareOutId, asked);
  }

  @Put('rounds/:roundId/claim-window')
  @Allow('coordinator')
  @Operation({ id: 'setClaimWindow', ok: shareOut })
  setWindow(
    @CurrentActor() actor: Actor,
    @Param('roundId', anId) roundId: string,
    @Body({ schema: setClaimWindow }) { window }: z.infer<typeof setClaimWindow>,
  ): Promise<ShareOutView> {
    return this.windows.set(actor, roundId, window);
  }

  @Post('rounds/:roundId/claims')
  @Operation({ id: 'claimAll', ok: shareOut, errors: ['claims-closed'] })
  claimAll(
    @CurrentActor() actor: Actor,
    @Param('roundId', anId) roundId: string,
    @Body({ schema: claimAll }) { householdId }: z.infer<typeof claimAll>,
  ): Promise<ShareOutView> {
    return this.claims.claimHeld(actor, roundId, householdId);
  }
}
