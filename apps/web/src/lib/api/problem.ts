import * as z from 'zod/mini';

const problemDocument = z.object({
  status: z.optional(z.number()),
  code: z.optional(z.string()),
  title: z.optional(z.string()),
  detail: z.optional(z.string()),
  errors: z.optional(
    z.array(
      z.object({
        pointer: z.string(),
        detail: z.optional(z.string()),
        code: z.optional(z.string()),
        params: z.optional(z.record(z.string(), z.unknown())),
      }),
    ),
  ),
  params: z.optional(z.record(z.string(), z.unknown())),
});

export interface FieldProblem {
  /** JSON Pointer (RFC 6901) into the body that was sent, for example "/lines/0/priceMinor". */
  pointer: string;
  detail: string;
  code?: string;
  params?: Record<string, unknown>;
}

/** A refusal by the server (RFC 9457), or code "unreachable" with status 0 when no answer came. */
export class ApiProblem extends Error {
  readonly status: number;
  readonly code: string;
  readonly detail: string;
  readonly errors: readonly FieldProblem[];
  readonly params: Readonly<Record<string, unknown>>;

  constructor(problem: {
    status: number;
    code: string;
    detail: string;
    errors?: FieldProblem[];
    params?: Record<string, unknown>;
  }) {
    super(`${problem.status} ${problem.code}: ${problem.detail}`);
    this.name = 'ApiProblem';
    this.status = problem.status;
    this.code = problem.code;
    this.detail = problem.detail;
    this.errors = problem.errors ?? [];
    this.params = problem.params ?? {};
  }
}

export const unreachable = (): ApiProblem => new ApiProblem({ status: 0, code: 'unreachable', detail: 'No answer.' });

/** The plain form of a pointer that came as a URI fragment (RFC 6901, section 6). */
const plainPointer = (pointer: string): string =>
  pointer.startsWith('#') ? decodeURIComponent(pointer.slice(1)) : pointer;

/** Reads a problem document; an answer that is none (a proxy's page, say) becomes a problem with the status alone. */
export function problemFrom(status: number, body: unknown): ApiProblem {
  const parsed = problemDocument.safeParse(body);
  const document = parsed.success ? parsed.data : {};
  return new ApiProblem({
    status: document.status ?? status,
    code: document.code ?? `http-${status}`,
    detail: document.detail ?? document.title ?? '',
    errors: document.errors?.map((error) => ({
      ...error,
      pointer: plainPointer(error.pointer),
      detail: error.detail ?? '',
    })),
    params: document.params,
  });
}
