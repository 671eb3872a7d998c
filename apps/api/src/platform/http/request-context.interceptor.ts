import { Injectable, type CallHandler, type ExecutionContext, type NestInterceptor } from '@nestjs/common';
import { canonicalJson, type JsonValue } from '@frostmoot/calc';
import type { FastifyRequest } from 'fastify';
import { createHash } from 'node:crypto';
import { Observable } from 'rxjs';
import { inRequest } from './request-context.ts';

/** Fields whose value must not be kept, not even as a hash that could be guessed from; the service checks them itself. */
const SECRETS = new Set(['password', 'token']);

/** Puts the request's key and hash where the unit of work finds them. */
@Injectable()
export class RequestContextInterceptor implements NestInterceptor {
  intercept(context: ExecutionContext, next: CallHandler): Observable<unknown> {
    const request = context.switchToHttp().getRequest<FastifyRequest>();
    const header = request.headers['idempotency-key'];
    const facts = {
      idempotencyKey: typeof header === 'string' ? header : null,
      requestHash: hashOf(request),
    };
    return new Observable((subscriber) => inRequest(facts, () => next.handle().subscribe(subscriber)));
  }
}

/** The same request gives the same hash, however its JSON was laid out. */
function hashOf(request: FastifyRequest): string {
  const body = request.body ?? null;
  const shown =
    typeof body === 'object' && body !== null && !Array.isArray(body)
      ? Object.fromEntries(Object.entries(body).filter(([name]) => !SECRETS.has(name)))
      : body;
  const text = [request.method, request.url, request.headers['if-match'] ?? '', canonicalJson(shown as JsonValue)];
  return createHash('sha256').update(text.join('\n')).digest('hex');
}
