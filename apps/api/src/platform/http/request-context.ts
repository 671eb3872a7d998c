import { AsyncLocalStorage } from 'node:async_hooks';

/** What the unit of work must know of the request in hand. */
export interface RequestFacts {
  /** null: not sent; the unit of work refuses a write without it */
  idempotencyKey: string | null;
  /** hash of method, path and body, without secrets */
  requestHash: string;
}

const storage = new AsyncLocalStorage<RequestFacts>();

/** Runs the handler of a request with its facts at hand. */
export function inRequest<T>(facts: RequestFacts, work: () => T): T {
  return storage.run(facts, work);
}

/** Runs work that belongs to no request, even where one has woken it: its writes take no key of a request. */
export function outsideRequests<T>(work: () => T): T {
  return storage.exit(work);
}

/** Facts of the request in hand; undefined outside of any (jobs, loading the demonstration). */
export function currentRequest(): RequestFacts | undefined {
  return storage.getStore();
}
