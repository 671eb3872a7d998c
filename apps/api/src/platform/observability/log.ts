import type { LoggerService } from '@nestjs/common';
import type { FastifyInstance } from 'fastify';
import { pino, type Logger } from 'pino';
import { databaseError } from '../db/database-error.ts';

/** Errors whose message is ours or the language's, and holds nothing that somebody typed. */
const PLAIN = new Set(['Error', 'TypeError', 'RangeError', 'ReferenceError', 'ZodError', '$ZodError']);

/** What the log keeps of an error: kind, database state and where, but no message that could quote a value. */
export function withoutPersonalData(error: unknown): Record<string, unknown> {
  if (!(error instanceof Error)) return { kind: typeof error };
  const frames = (error.stack ?? '').split('\n').filter((line) => /^\s+at /.test(line));
  return {
    kind: error.name,
    ...(PLAIN.has(error.name) ? { message: error.message } : {}),
    ...databaseError(error),
    stack: frames.slice(0, 12).join('\n'),
  };
}

/** One JSON line for each event. Requests are named by their route, never by address, header, query or body. */
export function createLog(level: string): Logger {
  return pino({
    level,
    base: undefined,
    serializers: {
      err: withoutPersonalData,
      req: (request: { method?: string }) => ({ method: request.method }),
      res: (reply: { statusCode?: number }) => ({ status: reply.statusCode }),
    },
  });
}

/** A line when an answer is out: which route, how it ended, how long it took. */
export function logRequests(instance: FastifyInstance): void {
  instance.addHook('onResponse', async (request, reply) => {
    request.log.info({
      method: request.method,
      route: request.routeOptions.url ?? 'none',
      status: reply.statusCode,
      milliseconds: Math.round(reply.elapsedTime),
    });
  });
}

/** Nest's own lines in the same log. */
export class NestLog implements LoggerService {
  constructor(private readonly out: Logger) {}

  debug(message: unknown): void {
    this.out.debug(String(message));
  }
  verbose(message: unknown): void {
    this.out.trace(String(message));
  }
  // Nest says every module and route it sets up: of interest to whoever looks for a fault, not to whoever runs it.
  log(message: unknown): void {
    this.out.debug(String(message));
  }
  warn(message: unknown): void {
    this.out.warn(String(message));
  }
  error(message: unknown): void {
    if (message instanceof Error) this.out.error({ err: message });
    else this.out.error(String(message));
  }
}
