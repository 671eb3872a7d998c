import { Body, Controller, Inject, Post, Req } from '@nestjs/common';
import { DomainError } from '@frostmoot/calc';
import { invitation, invite } from '@frostmoot/contract';
import type { FastifyRequest } from 'fastify';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { readSessionCookie } from '../platform/auth/cookie.ts';
import { Allow, CurrentActor } from '../platform/auth/decorators.ts';
import type { Config } from '../platform/config/config.ts';
import { CONFIG } from '../platform/config/tokens.ts';
import { currentRequest } from '../platform/http/request-context.ts';
import { requireKey } from '../platform/db/idempotency.ts';
import { Operation } from '../platform/http/operation.ts';
import { InvitationService } from './invitation.service.ts';

@Controller('cooperatives/:cooperativeId/invitations')
export class InvitationsController {
  constructor(
    private readonly invitations: InvitationService,
    @Inject(CONFIG) private readonly config: Config,
  ) {}

  @Allow('coordinator')
  @Post()
  @Operation({
    id: 'invite',
    summary: 'A link for a place in a household, shown once',
    ok: invitation,
    status: 201,
    errors: ['household-left'],
  })
  invite(
    @CurrentActor() actor: Actor,
    @Body({ schema: invite }) body: z.infer<typeof invite>,
    @Req() request: FastifyRequest,
  ): Promise<z.infer<typeof invitation>> {
    const sessionSecret = readSessionCookie(request, this.config);
    const facts = currentRequest();
    if (sessionSecret === undefined || !facts) throw new DomainError('not-signed-in', 'Sign in first');
    return this.invitations.invite(actor, body, { sessionSecret, idempotencyKey: requireKey(facts) });
  }
}
