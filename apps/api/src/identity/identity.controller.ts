import { Body, Controller, Get, Inject, Patch, Post, Req, Res } from '@nestjs/common';
import { acceptInvitation, changeMe, demo, me, setUp, signIn } from '@frostmoot/contract';
import type { FastifyReply, FastifyRequest } from 'fastify';
import type { z } from 'zod';
import type { SignedIn } from '../platform/auth/actor.ts';
import { clearSessionCookie, readSessionCookie, setSessionCookie } from '../platform/auth/cookie.ts';
import { CurrentPerson, Public } from '../platform/auth/decorators.ts';
import type { Config } from '../platform/config/config.ts';
import { CONFIG } from '../platform/config/tokens.ts';
import { IfMatch } from '../platform/http/if-match.ts';
import { Operation } from '../platform/http/operation.ts';
import { AccountService } from './account.service.ts';
import { InvitationService } from './invitation.service.ts';
import { SetUpService } from './set-up.service.ts';
import { SignInService, type Me } from './sign-in.service.ts';

/** Accounts and sessions, outside of any cooperative. */
@Controller()
export class IdentityController {
  constructor(
    private readonly signIns: SignInService,
    private readonly accounts: AccountService,
    private readonly setUps: SetUpService,
    private readonly invitations: InvitationService,
    @Inject(CONFIG) private readonly config: Config,
  ) {}

  @Public()
  @Post('sign-in')
  @Operation({
    id: 'signIn',
    summary: 'Begin a session; the answer sets its cookie',
    ok: me,
    errors: ['wrong-credentials', 'too-many-attempts', 'unavailable'],
    keyless: true,
  })
  async signIn(
    @Body({ schema: signIn }) body: z.infer<typeof signIn>,
    @Req() request: FastifyRequest,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<Me> {
    return this.begin(request, reply, await this.signIns.signIn(body, request.ip));
  }

  @Public()
  @Post('sign-out')
  @Operation({ id: 'signOut', summary: 'End the session', keyless: true })
  async signOut(@Req() request: FastifyRequest, @Res({ passthrough: true }) reply: FastifyReply): Promise<void> {
    await this.endPresent(request);
    clearSessionCookie(reply, this.config);
  }

  @Get('me')
  @Operation({ id: 'getMe', summary: 'Who is signed in, and where they are a member', ok: me })
  me(@CurrentPerson() person: SignedIn): Promise<Me> {
    return this.signIns.me(person.personId);
  }

  @Patch('me')
  @Operation({ id: 'changeMe', summary: 'Change one’s own account', ok: me })
  changeMe(
    @CurrentPerson() person: SignedIn,
    @IfMatch() version: number,
    @Body({ schema: changeMe }) body: z.infer<typeof changeMe>,
  ): Promise<Me> {
    return this.accounts.change(person.personId, version, body);
  }

  @Public()
  @Get('demo')
  @Operation({ id: 'getDemo', summary: 'The accounts of the made-up cooperative, while it is open', ok: demo })
  demo(): Promise<z.infer<typeof demo>> {
    return this.accounts.demo();
  }

  @Public()
  @Post('cooperatives')
  @Operation({
    id: 'setUpCooperative',
    summary: 'A new cooperative with its first household; signs its coordinator in',
    ok: me,
    status: 201,
    errors: ['email-taken', 'too-many-attempts', 'wrong-credentials', 'unavailable'],
  })
  async setUp(
    @Body({ schema: setUp }) body: z.infer<typeof setUp>,
    @Req() request: FastifyRequest,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<Me> {
    return this.begin(request, reply, await this.setUps.setUp(body, request.ip));
  }

  @Public()
  @Post('invitations/accept')
  @Operation({
    id: 'acceptInvitation',
    summary: 'Take the place that an invitation offers, with a new account or an existing one; signs in',
    ok: me,
    errors: [
      'household-left',
      'not-found',
      'conflict',
      'email-taken',
      'wrong-credentials',
      'too-many-attempts',
      'unavailable',
    ],
  })
  async accept(
    @Body({ schema: acceptInvitation }) body: z.infer<typeof acceptInvitation>,
    @Req() request: FastifyRequest,
    @Res({ passthrough: true }) reply: FastifyReply,
  ): Promise<Me> {
    return this.begin(request, reply, await this.invitations.accept(body, request.ip));
  }

  /** The new session takes the place of one that this browser had. */
  private async begin(request: FastifyRequest, reply: FastifyReply, begun: { me: Me; secret: string }): Promise<Me> {
    await this.endPresent(request);
    setSessionCookie(reply, this.config, begun.secret);
    return begun.me;
  }

  private async endPresent(request: FastifyRequest): Promise<void> {
    const secret = readSessionCookie(request, this.config);
    if (secret !== undefined) await this.signIns.signOut(secret);
  }
}
