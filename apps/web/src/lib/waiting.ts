import { useCallback, useEffect, useSyncExternalStore } from 'react';
import { isProblem } from './api/client.ts';

const STORE = 'frostmoot.waiting';
const AGAIN_MS = 20_000;

/** What was entered on this device and is not on the server yet; `key` is its Idempotency-Key, so that it takes effect once however often it is sent. */
export interface Waiting {
  key: string;
  personId: string;
  /** the cooperative that was open when it was entered; another may be when it is sent */
  cooperativeId: string;
  kind: 'step-done' | 'reading' | 'lot' | 'recall-answer';
  /** the cook day, the batch or the recall that it is about */
  target: string;
  body: Record<string, unknown>;
  /** why the server would not take it; it is not sent again until a person says so */
  refused?: string;
}

const listeners = new Set<() => void>();
let inMemory: readonly Waiting[] | undefined;

function read(): readonly Waiting[] {
  if (inMemory) return inMemory;
  try {
    const kept: unknown = JSON.parse(localStorage.getItem(STORE) ?? '[]');
    inMemory = Array.isArray(kept) ? (kept as Waiting[]) : [];
  } catch {
    inMemory = []; // Storage is refused in some private windows; what waits then lasts as long as the page.
  }
  return inMemory;
}

function write(change: (old: readonly Waiting[]) => readonly Waiting[]): void {
  inMemory = change(read());
  try {
    localStorage.setItem(STORE, JSON.stringify(inMemory));
  } catch {
    // As above.
  }
  for (const listener of listeners) listener();
}

if (typeof addEventListener === 'function') {
  addEventListener('storage', ({ key }) => {
    if (key !== STORE) return;
    inMemory = undefined;
    for (const listener of listeners) listener();
  });
}

const subscribe = (listener: () => void) => {
  listeners.add(listener);
  return () => listeners.delete(listener);
};

/** Keeps an entry until it is sent; `key` where it was sent before and only the answer is missing. */
export const keepWaiting = (entry: Omit<Waiting, 'key'> & { key?: string }): void =>
  write((old) => [...old, { ...entry, key: entry.key ?? crypto.randomUUID() }]);
export const dropWaiting = (key: string): void => write((old) => old.filter((entry) => entry.key !== key));

/** What waits on this device for this person. */
export function useWaiting(personId: string): readonly Waiting[] {
  const all = useSyncExternalStore(subscribe, read);
  return all.filter((entry) => entry.personId === personId);
}

export type Outcome = 'sent' | 'later' | { refused: string };

/** What a failed attempt means: no answer is no refusal, and neither is a session that has ended. */
export function outcomeOf(error: unknown): Outcome {
  if (!isProblem(error) || error.code === 'unreachable' || error.status >= 500) return 'later';
  return error.code === 'not-signed-in' ? 'later' : { refused: error.code };
}

let isSending = false;

/** Sends what waits in the order in which it was entered: now, when the connection is back, and every 20 seconds while something waits. */
export function useSendWaiting(personId: string, send: (entry: Waiting) => Promise<Outcome>): void {
  const waiting = useWaiting(personId);
  const open = waiting.filter(({ refused }) => refused === undefined).length;
  const flush = useCallback(async () => {
    if (isSending) return;
    isSending = true;
    try {
      for (;;) {
        const next = read().find((entry) => entry.personId === personId && entry.refused === undefined);
        if (!next) return;
        const outcome = await send(next);
        if (outcome === 'later') return;
        if (outcome === 'sent') dropWaiting(next.key);
        else write((old) => old.map((entry) => (entry.key === next.key ? { ...entry, ...outcome } : entry)));
      }
    } finally {
      isSending = false;
    }
  }, [personId, send]);
  useEffect(() => {
    if (open === 0) return;
    void flush();
    const again = () => void flush();
    const timer = setInterval(again, AGAIN_MS);
    addEventListener('online', again);
    return () => {
      clearInterval(timer);
      removeEventListener('online', again);
    };
  }, [open, flush]);
}
