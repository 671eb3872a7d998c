import { Body, Controller, Param, Post } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { claimContainer, claimResult, primitives, releaseContainer } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { CurrentActor } from '../platform/auth/decorators.ts';
import { Operation } from '../platform/http/operation.ts';
import { ClaimsService } from './claims.service.ts';

type ClaimResult = z.infer<typeof claimResult>;
const anId = { schema: primitives.id };

@ApiTags('share-outs')
@Controller('cooperatives/:cooperativeId/containers/:containerId')
export class ClaimsController {
  constructor(private readonly claims: ClaimsService) {}

  @Post('claim')
  @Operation({
    id: 'claimContainer',
    ok: claimResult,
    errors: [
      'claims-closed',
      'claims-not-yet',
      'claims-over',
      'no-claims',
      'container-kept',
      'participant-missing',
      'household-left',
      'container-taken',
      'container-not-free',
      'over-allowance',
      'excluded-food',
    ],
  })
  claim(
    @CurrentActor() actor: Actor,
    @Param('containerId', anId) containerId: string,
    @Body({ schema: claimContainer }) asked: z.infer<typeof claimContainer>,
  ): Promise<ClaimResult> {
    return this.claims.claim(actor, containerId, asked);
  }

  @Post('release')
  @Operation({
    id: 'releaseContainer',
    ok: claimResult,
    errors: ['household-left', 'container-taken', 'container-not-free', 'conflict'],
  })
  release(
    @CurrentActor() actor: Actor,
    @Param('containerId', anId) containerId: string,
    @Body({ schema: releaseContainer }) { householdId }: z.infer<typeof releaseContainer>,
  ): Promise<ClaimResult> {
    return this.claims.release(actor, containerId, householdId);
  }
}
