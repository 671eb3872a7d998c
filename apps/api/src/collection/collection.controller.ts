import { Body, Controller, Get, Param, Post, Put } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import {
  chooseCollection,
  collection,
  handOverContainer,
  primitives,
  releaseUncollected,
  saveCollection,
} from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { Allow, CurrentActor } from '../platform/auth/decorators.ts';
import { IfMatch } from '../platform/http/if-match.ts';
import { Operation } from '../platform/http/operation.ts';
import type { CollectionView } from './collection-reader.ts';
import { CollectionService } from './collection.service.ts';
import { HandOverService } from './hand-over.service.ts';

const anId = { schema: primitives.id };

@ApiTags('collection')
@Controller('cooperatives/:cooperativeId')
export class CollectionController {
  constructor(
    private readonly collections: CollectionService,
    private readonly handOvers: HandOverService,
  ) {}

  @Get('rounds/:roundId/collection')
  @Operation({ id: 'getCollection', ok: collection })
  view(@CurrentActor() actor: Actor, @Param('roundId', anId) roundId: string): Promise<CollectionView> {
    return this.collections.view(actor, roundId);
  }

  @Post('rounds/:roundId/collection')
  @Allow('coordinator')
  @Operation({ id: 'setCollection', ok: collection, status: 201, errors: ['claims-closed', 'conflict'] })
  create(
    @CurrentActor() actor: Actor,
    @Param('roundId', anId) roundId: string,
    @Body({ schema: saveCollection }) typed: z.infer<typeof saveCollection>,
  ): Promise<CollectionView> {
    return this.collections.create(actor, roundId, typed);
  }

  @Put('rounds/:roundId/collection')
  @Allow('coordinator')
  @Operation({ id: 'changeCollection', ok: collection, errors: ['claims-closed'] })
  change(
    @CurrentActor() actor: Actor,
    @Param('roundId', anId) roundId: string,
    @IfMatch() version: number,
    @Body({ schema: saveCollection }) typed: z.infer<typeof saveCollection>,
  ): Promise<CollectionView> {
    return this.collections.change(actor, roundId, version, typed);
  }

  @Post('rounds/:roundId/collection/choices')
  @Operation({ id: 'chooseCollection', ok: collection, errors: ['claims-closed'] })
  choose(
    @CurrentActor() actor: Actor,
    @Param('roundId', anId) roundId: string,
    @Body({ schema: chooseCollection }) choice: z.infer<typeof chooseCollection>,
  ): Promise<CollectionView> {
    return this.collections.choose(actor, roundId, choice);
  }

  @Post('rounds/:roundId/collection/releases')
  @Allow('coordinator')
  @Operation({ id: 'releaseUncollected', ok: collection, errors: ['household-left', 'claims-closed', 'conflict'] })
  release(
    @CurrentActor() actor: Actor,
    @Param('roundId', anId) roundId: string,
    @Body({ schema: releaseUncollected }) { householdId }: z.infer<typeof releaseUncollected>,
  ): Promise<CollectionView> {
    return this.handOvers.releaseUncollected(actor, roundId, householdId);
  }

  @Post('containers/:containerId/hand-over')
  @Operation({ id: 'handOverContainer', ok: collection, errors: ['container-not-free', 'conflict'] })
  handOver(
    @CurrentActor() actor: Actor,
    @Param('containerId', anId) containerId: string,
    @Body({ schema: handOverContainer }) { toHouseholdId }: z.infer<typeof handOverContainer>,
  ): Promise<CollectionView> {
    return this.handOvers.handOver(actor, containerId, toHouseholdId);
  }

  @Post('containers/:containerId/hand-over/undo')
  @Operation({ id: 'undoHandOver', ok: collection, errors: ['conflict'] })
  undo(@CurrentActor() actor: Actor, @Param('containerId', anId) containerId: string): Promise<CollectionView> {
    return this.handOvers.undo(actor, containerId);
  }
}
