import { Body, Controller, Get, Param, Post, Put } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import * as contract from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { Allow, CurrentActor } from '../platform/auth/decorators.ts';
import { IfMatch } from '../platform/http/if-match.ts';
import { Operation } from '../platform/http/operation.ts';
import { DishProposalService } from './dish-proposal.service.ts';
import { MoveRoundService } from './move-round.service.ts';
import { ParticipationService } from './participation.service.ts';
import type { RoundAnswer } from './round-reader.ts';
import { RoundsService } from './rounds.service.ts';

const anId = { schema: contract.primitives.id };
const ok = contract.round;

@ApiTags('rounds')
@Controller('cooperatives/:cooperativeId/rounds')
export class RoundsController {
  constructor(
    private readonly rounds: RoundsService,
    private readonly participation: ParticipationService,
    private readonly moves: MoveRoundService,
    private readonly proposals: DishProposalService,
  ) {}

  @Get()
  @Operation({ id: 'listRounds', summary: 'Rounds, the latest first', ok: contract.roundList })
  list(@CurrentActor() actor: Actor): Promise<z.infer<typeof contract.roundList>> {
    return this.rounds.list(actor);
  }

  @Post()
  @Allow('coordinator')
  @Operation({
    id: 'createRound',
    summary: 'Start a round for everybody as they are today',
    ok,
    status: 201,
    errors: ['household-left', 'participant-missing', 'conflict'],
  })
  create(
    @CurrentActor() actor: Actor,
    @Body({ schema: contract.createRound }) body: z.infer<typeof contract.createRound>,
  ): Promise<RoundAnswer> {
    return this.rounds.create(actor, body);
  }

  @Get(':roundId')
  @Operation({ id: 'getRound', summary: 'One round with its figures and what does not add up', ok })
  find(@CurrentActor() actor: Actor, @Param('roundId', anId) roundId: string): Promise<RoundAnswer> {
    return this.rounds.find(actor, roundId);
  }

  @Put(':roundId/dishes')
  @Operation({ id: 'saveDishes', summary: 'All dishes of a round that is planned', ok, errors: ['round-stage'] })
  saveDishes(
    @CurrentActor() actor: Actor,
    @Param('roundId', anId) roundId: string,
    @IfMatch() version: number,
    @Body({ schema: contract.saveDishes }) body: z.infer<typeof contract.saveDishes>,
  ): Promise<RoundAnswer> {
    return this.rounds.saveDishes(actor, roundId, version, body);
  }

  @Post(':roundId/dish-proposals')
  @Operation({
    id: 'proposeDishes',
    summary:
      'Begin to work out dishes and batches that would feed everybody, or use up what is at hand, as a job of the kind dish-proposal; changes nothing',
    ok: contract.job,
    status: 202,
    errors: ['round-stage', 'unknown-unit', 'units-incompatible', 'density-missing', 'too-large'],
  })
  propose(
    @CurrentActor() actor: Actor,
    @Param('roundId', anId) roundId: string,
    @Body({ schema: contract.proposeDishes }) body: z.infer<typeof contract.proposeDishes>,
  ): Promise<z.infer<typeof contract.job>> {
    return this.proposals.start(actor, roundId, body);
  }

  @Post(':roundId/stage')
  @Allow('coordinator')
  @Operation({
    id: 'moveRound',
    summary: 'Take a round on to its next stage',
    ok,
    errors: ['round-stage', 'round-not-ready'],
  })
  move(
    @CurrentActor() actor: Actor,
    @Param('roundId', anId) roundId: string,
    @IfMatch() version: number,
    @Body({ schema: contract.moveRound }) { to }: z.infer<typeof contract.moveRound>,
  ): Promise<RoundAnswer> {
    return this.moves.move(actor, roundId, version, to);
  }

  @Post(':roundId/participants')
  @Allow('coordinator')
  @Operation({
    id: 'changeParticipant',
    summary: 'A household joins, leaves or counts otherwise from a day on',
    ok,
    errors: ['household-left', 'round-stage', 'conflict'],
  })
  changeParticipant(
    @CurrentActor() actor: Actor,
    @Param('roundId', anId) roundId: string,
    @Body({ schema: contract.changeParticipant }) body: z.infer<typeof contract.changeParticipant>,
  ): Promise<RoundAnswer> {
    return this.participation.change(actor, roundId, body);
  }

  @Put(':roundId/cook-days')
  @Allow('coordinator')
  @Operation({
    id: 'saveCookDay',
    summary: 'The cook day of a date, made or changed',
    ok,
    errors: ['household-left', 'round-stage'],
  })
  saveCookDay(
    @CurrentActor() actor: Actor,
    @Param('roundId', anId) roundId: string,
    @Body({ schema: contract.saveCookDay }) body: z.infer<typeof contract.saveCookDay>,
  ): Promise<RoundAnswer> {
    return this.rounds.saveCookDay(actor, roundId, body);
  }
}
