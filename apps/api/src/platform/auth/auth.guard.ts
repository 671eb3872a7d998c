import { Inject, Injectable, type CanActivate, type ExecutionContext } from '@nestjs/common';
import { Reflector } from '@nestjs/core';
import { DomainError } from '@frostmoot/calc';
import { primitives, type Role } from '@frostmoot/contract';
import type { Config } from '../config/config.ts';
import { CONFIG } from '../config/tokens.ts';
import type { Actor } from './actor.ts';
import { readSessionCookie } from './cookie.ts';
import { ALLOW, PUBLIC, type IdentifiedRequest } from './decorators.ts';
import { isWrite, requireJson, requireOwnPage } from './same-site.ts';
import { SessionRepository } from './session.repository.ts';

/** Who asks, and may they: session, membership of the cooperative in the path, role. */
@Injectable()
export class AuthGuard implements CanActivate {
  constructor(
    private readonly reflector: Reflector,
    private readonly sessions: SessionRepository,
    @Inject(CONFIG) private readonly config: Config,
  ) {}

  async canActivate(context: ExecutionContext): Promise<boolean> {
    const request = context.switchToHttp().getRequest<IdentifiedRequest>();
    if (isWrite(request)) {
      requireOwnPage(request, this.config.publicUrl);
      requireJson(request);
    }
    const places = [context.getHandler(), context.getClass()];
    if (this.reflector.getAllAndOverride<boolean | undefined>(PUBLIC, places)) return true;

    const { cooperativeId } = request.params as { cooperativeId?: string };
    const place = primitives.id.safeParse(cooperativeId?.toLowerCase());
    const secret = readSessionCookie(request, this.config);
    const found = secret === undefined ? null : await this.sessions.identify(secret, place.data ?? null);
    if (!found) throw new DomainError('not-signed-in', 'Sign in first');
    request.person = found.person;
    if (cooperativeId === undefined) return true;

    const { actor } = found;
    // Whether it does not exist or is somebody else's is not told apart.
    if (!actor) throw new DomainError('not-found', 'There is no such cooperative among yours');
    request.actor = actor;
    requireRole(actor, this.reflector.getAllAndOverride<Role[] | undefined>(ALLOW, places), isWrite(request));
    return true;
  }
}

function requireRole(actor: Actor, allowed: readonly Role[] | undefined, write: boolean): void {
  if (actor.roles.includes('coordinator')) return;
  const may = allowed
    ? actor.roles.some((role) => allowed.includes(role))
    : !write || actor.roles.some((role) => role !== 'reader');
  if (!may) throw new DomainError('forbidden', 'Your role in this cooperative does not allow this');
}
