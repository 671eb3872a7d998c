import { applyDecorators, HttpCode, SetMetadata } from '@nestjs/common';
import { ApiExtension, ApiOperation, ApiResponse } from '@nestjs/swagger';
import type { DomainErrorCode } from '@frostmoot/calc';
import type { z } from 'zod';

export const ANSWER_SCHEMA = 'frostmoot:answer-schema';
export const KEYLESS = 'frostmoot:keyless';

/** What the OpenAPI document is completed from; taken out of it again. */
export const DOCUMENT_NOTES = 'x-frostmoot';
export interface DocumentNotes {
  errors: DomainErrorCode[];
  keyless: boolean;
}

export interface OperationOptions {
  /** operationId: what generated clients call it; unique, never changed */
  id: string;
  summary?: string;
  /** schema of the answer; left out for 204 */
  ok?: z.ZodType;
  /** schema of the events of an answer that does not end */
  streams?: z.ZodType;
  /** media type of an answer that is a file */
  file?: string;
  status?: number;
  /** refusals of its own; those that every route of its kind has are added */
  errors?: DomainErrorCode[];
  /** a write that needs no Idempotency-Key, because it changes no resource (signing in and out) */
  keyless?: boolean;
}

/** Documents one operation and has its answer checked against its schema on the way out. */
export function Operation(options: OperationOptions): MethodDecorator {
  const { id, summary, ok, streams, file, errors = [], keyless = false } = options;
  const shown = ok ?? streams;
  const status = options.status ?? (shown || file ? 200 : 204);
  const notes: DocumentNotes = { errors, keyless };
  return applyDecorators(
    HttpCode(status),
    SetMetadata(ANSWER_SCHEMA, ok),
    SetMetadata(KEYLESS, keyless),
    ApiOperation({ operationId: id, ...(summary ? { summary } : {}) }),
    ApiExtension(DOCUMENT_NOTES, notes),
    ApiResponse({
      status,
      description: shown || file ? 'Done' : 'Done; there is nothing to answer',
      ...(shown ? { standardSchema: shown } : {}),
      // OpenAPI 3.1 says bytes by an empty schema and the media type.
      ...(file ? { content: { [file]: { schema: {} } } } : {}),
    }),
  );
}
