import { DomainError } from '@frostmoot/calc';
import type { FastifyRequest } from 'fastify';

const READS = new Set(['GET', 'HEAD', 'OPTIONS']);

export function isWrite(request: FastifyRequest): boolean {
  return !READS.has(request.method);
}

/** A write must come from our own page: what the browser says of it, or its Origin where the browser says nothing. */
export function requireOwnPage(request: FastifyRequest, publicUrl: string): void {
  const site = request.headers['sec-fetch-site'];
  const own = site === undefined ? request.headers.origin === new URL(publicUrl).origin : site === 'same-origin';
  if (!own) throw new DomainError('forbidden', 'A write must come from this installation’s own pages');
}

/** Forms of other sites cannot send JSON without asking first. */
export function requireJson(request: FastifyRequest): void {
  const type = request.headers['content-type'];
  if (type !== undefined && !/^application\/json\s*(;|$)/i.test(type)) {
    throw new DomainError('not-json', 'The body must be application/json');
  }
}
