import { Injectable, type CallHandler, type ExecutionContext, type NestInterceptor } from '@nestjs/common';
import { Reflector } from '@nestjs/core';
import type { FastifyReply } from 'fastify';
import { map, type Observable } from 'rxjs';
import type { z } from 'zod';
import { ANSWER_SCHEMA } from './operation.ts';

/** Sends what the document promises and no more: the answer parsed by its schema, with the ETag of its version. */
@Injectable()
export class AnswerInterceptor implements NestInterceptor {
  constructor(private readonly reflector: Reflector) {}

  intercept(context: ExecutionContext, next: CallHandler): Observable<unknown> {
    const schema = this.reflector.get<z.ZodType | undefined>(ANSWER_SCHEMA, context.getHandler());
    if (!schema) return next.handle();
    const reply = context.switchToHttp().getResponse<FastifyReply>();
    return next.handle().pipe(
      map((answer: unknown) => {
        const parsed = schema.parse(answer);
        const version = versionOf(parsed);
        if (version !== undefined) void reply.header('ETag', `"${version}"`);
        return parsed;
      }),
    );
  }
}

function versionOf(answer: unknown): number | undefined {
  if (typeof answer !== 'object' || answer === null || !('version' in answer)) return undefined;
  return typeof answer.version === 'number' ? answer.version : undefined;
}
