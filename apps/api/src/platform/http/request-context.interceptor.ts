import { Injectable, type CallHandler, type ExecutionContext, type NestInterceptor } from '@nestjs/common';
import { Reflector } from '@nestjs/core';
import { DomainError } from '@frostmoot/calc';
import type { FastifyRequest } from 'fastify';
import { createHash } from 'node:crypto';
import { Observable } from 'rxjs';
import { isWrite } from '../auth/same-site.ts';
import { requireKey } from '../db/idempotency.ts';
import { KEYLESS } from './operation.ts';
import { inRequest } from './request-context.ts';

/** Fields whose value must not be kept, not even as a hash that could be guessed from; the service checks them itself. */
const SECRETS = new Set(['password', 'token']);

/** Refuses a write without a key, whatever it would do; puts the request's key and hash where the unit of work finds them. */
@Injectable()
export class RequestContextInterceptor implements NestInterceptor {
  constructor(private readonly reflector: Reflector) {}

  intercept(context: ExecutionContext, next: CallHandler): Observable<unknown> {
    const request = context.switchToHttp().getRequest<FastifyRequest>();
    if (!isWrite(request)) return next.handle();
    const header = request.headers['idempotency-key'];
    const facts = {
      idempotencyKey: typeof header === 'string' ? header : null,
      requestHash: hashOf(request),
    };
    const keyless = this.reflector.get<boolean | undefined>(KEYLESS, context.getHandler());
    if (!keyless) requireKey(facts);
    return new Observable((subscriber) => inRequest(facts, () => next.handle().subscribe(subscriber)));
  }
}

/** The same request gives the same hash, in whatever order its members were sent. */
function hashOf(request: FastifyRequest): string {
  const text = [request.method, request.url, request.headers['if-match'] ?? '', sortedJson(request.body ?? null)];
  return createHash('sha256').update(text.join('\n')).digest('hex');
}

function sortedJson(body: unknown): string {
  try {
    return JSON.stringify(body, (name, value: unknown) => {
      if (SECRETS.has(name)) return undefined;
      if (typeof value !== 'object' || value === null || Array.isArray(value)) return value;
      return Object.fromEntries(Object.entries(value).sort(([a], [b]) => (a < b ? -1 : 1)));
    });
  } catch (error) {
    if (error instanceof RangeError) throw new DomainError('too-large', 'The body is nested too deeply');
    throw error;
  }
}
