import createClient, { type Middleware } from 'openapi-fetch';
import { ApiProblem, problemFrom, unreachable } from './problem.ts';
import { fetchWithRetries } from './retries.ts';
import type { paths } from './schema.d.ts';

const isWrite = (method: string): boolean => method !== 'GET' && method !== 'HEAD';

const idempotencyKeys: Middleware = {
  onRequest({ request }) {
    if (isWrite(request.method) && !request.headers.has('Idempotency-Key')) {
      request.headers.set('Idempotency-Key', crypto.randomUUID());
    }
    return request;
  },
};

/** Every operation of the contract, typed by its path: `ok(api.GET('/api/...', { params }))`. */
export const api = createClient<paths>({ baseUrl: '', credentials: 'same-origin', fetch: fetchWithRetries });
api.use(idempotencyKeys);

let signedOut: () => void = () => {};

/** Set once by the app: what to do when the server no longer knows this session. */
export function onSignedOut(act: () => void): void {
  signedOut = act;
}

/** To be called where a page finds that the session has ended. */
export const sessionEnded = (): void => signedOut();

/** The answer's body; a refusal is thrown as ApiProblem, and a lost session also leads to the sign-in page. */
export async function ok<Data>(
  call: Promise<{ data?: Data; error?: unknown; response: Response }>,
): Promise<NonNullable<Data>> {
  const answer = await call.catch((error: unknown) => {
    throw error instanceof TypeError ? unreachable() : error;
  });
  if (answer.response.ok) return answer.data as NonNullable<Data>;
  const problem = problemFrom(answer.response.status, answer.error);
  // Asking who is signed in (/api/me) is how the app finds out; and wrong credentials are no lost session.
  const isLost = problem.code === 'not-signed-in' && !answer.response.url.endsWith('/api/me');
  if (isLost) signedOut();
  throw problem;
}

/** Header for a change to a resource that was read at `version`. */
export const ifMatch = (version: number | string): { 'If-Match': string } => ({ 'If-Match': `"${version}"` });

export const isProblem = (error: unknown, code?: string): error is ApiProblem =>
  error instanceof ApiProblem && (code === undefined || error.code === code);
