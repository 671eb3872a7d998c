import { applyDecorators, createParamDecorator, SetMetadata, type ExecutionContext } from '@nestjs/common';
import { ApiExtension } from '@nestjs/swagger';
import type { Role } from '@frostmoot/contract';
import type { FastifyRequest } from 'fastify';
import type { Actor, SignedIn } from './actor.ts';

/** What the guard found out about a request. */
export interface Identified {
  person?: SignedIn;
  actor?: Actor;
}
export type IdentifiedRequest = FastifyRequest & Identified;

export const PUBLIC = 'frostmoot:public';
/** Tells the OpenAPI document of it; taken out again there. */
export const DOCUMENT_PUBLIC = 'x-frostmoot-public';
export const ALLOW = 'frostmoot:allow';

/** Open to whoever is not signed in. */
export const Public = (): MethodDecorator =>
  applyDecorators(SetMetadata(PUBLIC, true), ApiExtension(DOCUMENT_PUBLIC, true));

/** Only these roles; a coordinator always may. Without it: reads for any role, writes for any role but reader. */
export const Allow = (...roles: Role[]) => SetMetadata(ALLOW, roles);

/** The member of the cooperative in the path. */
export const CurrentActor = createParamDecorator((_: unknown, context: ExecutionContext): Actor => {
  const { actor } = context.switchToHttp().getRequest<IdentifiedRequest>();
  if (!actor) throw new Error('CurrentActor is for routes under /cooperatives/:cooperativeId');
  return actor;
});

/** Who is signed in, outside of any cooperative. */
export const CurrentPerson = createParamDecorator((_: unknown, context: ExecutionContext): SignedIn => {
  const { person } = context.switchToHttp().getRequest<IdentifiedRequest>();
  if (!person) throw new Error('CurrentPerson is not for public routes');
  return person;
});
