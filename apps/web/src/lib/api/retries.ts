const TRIES = 3;
const FIRST_PAUSE_MS = 300;

const mayBeSentAgain = (request: Request): boolean =>
  request.method === 'GET' || request.method === 'HEAD' || request.headers.has('Idempotency-Key');

const isPassing = (status: number): boolean => status === 502 || status === 503 || status === 504;

const pause = (attempt: number): Promise<void> =>
  // Jitter, so that everybody who was cut off does not come back in the same instant.
  new Promise((resolve) => setTimeout(resolve, FIRST_PAUSE_MS * 2 ** attempt * (0.5 + Math.random())));

/**
 * Sends a request again after a broken connection or a gateway's refusal. A write is sent again with the same Idempotency-Key, so that it
 * takes effect once even if only its answer was lost.
 */
export async function fetchWithRetries(request: Request): Promise<Response> {
  for (let attempt = 0; ; attempt += 1) {
    const last = attempt === TRIES - 1 || !mayBeSentAgain(request) || !navigator.onLine;
    try {
      const response = await fetch(request.clone());
      if (last || !isPassing(response.status)) return response;
    } catch (error) {
      if (last || request.signal.aborted) throw error;
    }
    await pause(attempt);
  }
}
