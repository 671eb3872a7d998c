import { createParamDecorator, type ExecutionContext } from '@nestjs/common';
import { ApiHeader } from '@nestjs/swagger';
import { DomainError } from '@frostmoot/calc';
import type { FastifyRequest } from 'fastify';

/** The version that a change was made from, out of If-Match: `"7"`. */
export function readIfMatch(header: string | undefined): number {
  if (header === undefined) throw new DomainError('precondition-required', 'A change needs the header If-Match');
  const number = /^"([1-9]\d{0,8})"$/.exec(header.trim())?.[1];
  if (number === undefined) throw new DomainError('precondition-failed', 'If-Match names no version of this');
  return Number(number);
}

const FromHeader = createParamDecorator((_: unknown, context: ExecutionContext): number =>
  readIfMatch(context.switchToHttp().getRequest<FastifyRequest>().headers['if-match']),
);

/** The version named in If-Match, as an argument of the handler; the document gets the header. */
export const IfMatch = (): ParameterDecorator => (target, method, index) => {
  FromHeader()(target, method, index);
  const handler: unknown = method === undefined ? undefined : Reflect.get(target, method);
  if (typeof handler !== 'function' || method === undefined) throw new Error('IfMatch is for arguments of a handler');
  ApiHeader({ name: 'If-Match', required: true, description: 'ETag of what is changed', schema: { type: 'string' } })(
    target,
    method,
    { value: handler },
  );
};

/** Refuses a change that was made from another version than the present one. */
export function requireVersion(present: number, named: number): void {
  if (present !== named) throw new DomainError('precondition-failed', 'This has changed since you read it');
}
