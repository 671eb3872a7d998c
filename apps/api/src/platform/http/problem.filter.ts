import { Catch, HttpException, type ArgumentsHost, type ExceptionFilter } from '@nestjs/common';
import { DomainError, type DomainErrorCode } from '@frostmoot/calc';
import type { Problem } from '@frostmoot/contract';
import type { FastifyReply, FastifyRequest } from 'fastify';
import { mayTryAgain } from '../db/database-error.ts';
import { statuses } from './statuses.ts';

/** Titles are the same for every occurrence of a code (RFC 9457, section 3.1.3); screens have their own words. */
function titleOf(code: string): string {
  const words = code.replaceAll('-', ' ');
  return words.charAt(0).toUpperCase() + words.slice(1);
}

/** The problem document of an error; what nobody foresaw says nothing of itself. */
export function problemOf(error: unknown): Problem {
  if (error instanceof DomainError) {
    return {
      ...named(error.code, statuses[error.code], error.message),
      ...(error.errors.length > 0 ? { errors: error.errors.map((fault) => ({ ...fault })) } : {}),
      ...(error.params ? { params: error.params } : {}),
    };
  }
  const known = knownFrom(error);
  if (known) return named(known.code, statuses[known.code], known.detail);
  const status = statusOf(error);
  if (status !== undefined && status < 500) return named('invalid-input', status, 'This request cannot be used');
  return named('internal', 500, 'Something went wrong on our side');
}

function named(code: string, status: number, detail: string): Problem {
  return { type: `/problems/${code}`, title: titleOf(code), status, detail, code };
}

/** Refusals of the framework, by what they mean here. */
function knownFrom(error: unknown): { code: DomainErrorCode; detail: string } | undefined {
  if (mayTryAgain(error)) return { code: 'unavailable', detail: 'Too many changes at once; try again' };
  const code = typeof error === 'object' && error !== null && 'code' in error ? String(error.code) : '';
  if (code === 'FST_ERR_CTP_BODY_TOO_LARGE') return { code: 'too-large', detail: 'The body is too large' };
  if (code === 'FST_ERR_CTP_INVALID_MEDIA_TYPE')
    return { code: 'not-json', detail: 'The body must be application/json' };
  if (
    code === 'FST_ERR_CTP_EMPTY_JSON_BODY' ||
    code === 'FST_ERR_CTP_INVALID_JSON_BODY' ||
    error instanceof SyntaxError
  ) {
    return { code: 'not-json', detail: 'The body is not JSON' };
  }
  if (statusOf(error) === 404) return { code: 'not-found', detail: 'There is nothing here' };
  return undefined;
}

function statusOf(error: unknown): number | undefined {
  if (error instanceof HttpException) return error.getStatus();
  const status = typeof error === 'object' && error !== null && 'statusCode' in error ? error.statusCode : undefined;
  return typeof status === 'number' ? status : undefined;
}

/** Answers with a problem document. */
export function sendProblem(reply: FastifyReply, problem: Problem): void {
  void reply.status(problem.status).type('application/problem+json; charset=utf-8').send(JSON.stringify(problem));
}

/** The one place where errors become HTTP (RFC 9457). The log gets what was not foreseen, without the request's body. */
@Catch()
export class ProblemFilter implements ExceptionFilter {
  catch(error: unknown, host: ArgumentsHost): void {
    const http = host.switchToHttp();
    const request = http.getRequest<FastifyRequest>();
    const problem = problemOf(error);
    if (problem.status >= 500) request.log.error({ err: error, code: problem.code }, 'request failed');
    const reply = http.getResponse<FastifyReply>();
    const { retryAfterSeconds } = problem.params ?? {};
    if (retryAfterSeconds !== undefined) void reply.header('Retry-After', String(retryAfterSeconds));
    sendProblem(reply, problem);
  }
}
