import { createParamDecorator, type ExecutionContext } from '@nestjs/common';
import { DomainError } from '@frostmoot/calc';
import type { FastifyRequest } from 'fastify';

/** The version that a change was made from, out of If-Match: `"7"`. */
export function readIfMatch(header: string | undefined): number {
  if (header === undefined) throw new DomainError('precondition-required', 'A change needs the header If-Match');
  const number = /^"([1-9]\d{0,8})"$/.exec(header.trim())?.[1];
  if (number === undefined) throw new DomainError('precondition-failed', 'If-Match names no version of this');
  return Number(number);
}

export const IfMatch = createParamDecorator((_: unknown, context: ExecutionContext): number =>
  readIfMatch(context.switchToHttp().getRequest<FastifyRequest>().headers['if-match']),
);

/** Refuses a change that was made from another version than the present one. */
export function requireVersion(present: number, named: number): void {
  if (present !== named) throw new DomainError('precondition-failed', 'This has changed since you read it');
}
