import * as z from 'zod/mini';
import type { Topic } from '@frostmoot/contract';

/** The contract's list, kept here as well so that its schemas stay out of the browser; a missing one does not compile. */
const TOPICS = [
  'cooperative',
  'households',
  'recipes',
  'rounds',
  'buying',
  'kitchen',
  'share-outs',
  'stock',
  'swaps',
  'accounts',
  'jobs',
  'notices',
  'recalls',
  'rota',
] as const satisfies readonly Topic[];
const everyTopic: [Exclude<Topic, (typeof TOPICS)[number]>] extends [never] ? true : never = true;
void everyTopic;

const liveEvent = z.object({ topic: z.string(), subjectId: z.nullable(z.string()) });

/** One change that the server tells of. */
export interface LiveEvent {
  topic: Topic;
  subjectId: string | null;
}

const GRANTED_AT_ONCE_MS = 500;
const OPEN_AGAIN_MS = 5000;

type Listener = (event: LiveEvent | 'reconnected') => void;

/**
 * The server's event stream, opened once per browser: the tab that holds the lock listens and passes everything on to the others. When that
 * tab closes, the next in line takes over and everybody is told to read again, since events may have been missed in between.
 */
export function followLive(url: string, listen: Listener): () => void {
  const stop = new AbortController();
  const channel = new BroadcastChannel(`frostmoot:${url}`);
  channel.onmessage = (message: MessageEvent<LiveEvent | 'reconnected'>) => listen(message.data);
  const tell: Listener = (event) => {
    listen(event);
    channel.postMessage(event);
  };
  const askedAt = performance.now();
  const lead = () => {
    // Left in the very moment in which the lock was granted.
    if (stop.signal.aborted) return Promise.resolve();
    // Granted late means that another tab was listening until now, and something may have happened between its end and this beginning.
    const tookOver = performance.now() - askedAt > GRANTED_AT_ONCE_MS;
    return new Promise<void>((resolve) => openStream(url, tell, { signal: stop.signal, tookOver, done: resolve }));
  };
  if (navigator.locks) {
    navigator.locks.request(`frostmoot:${url}`, { signal: stop.signal }, lead).catch((error: unknown) => {
      // Leaving while still waiting in line rejects with AbortError, which is no failure.
      if (!stop.signal.aborted) throw error;
    });
  } else {
    // Without Web Locks (plain http on a home network) each tab listens for itself.
    openStream(url, listen, { signal: stop.signal, tookOver: false, done: () => {} });
  }
  return () => {
    stop.abort();
    channel.close();
  };
}

interface Lead {
  signal: AbortSignal;
  tookOver: boolean;
  done: () => void;
}

function openStream(url: string, tell: Listener, { signal, tookOver, done }: Lead): void {
  let wasOpen = tookOver;
  let source: EventSource;
  let timer: ReturnType<typeof setTimeout> | undefined;
  const hear = (message: MessageEvent<string>) => {
    const event = readEvent(message.data);
    if (event) tell(event);
  };
  const open = () => {
    source = new EventSource(url);
    source.onopen = () => {
      if (wasOpen) tell('reconnected');
      wasOpen = true;
    };
    source.onerror = () => {
      // A broken connection is taken up again by the browser itself; after a refusal (a server starting, say) it gives up for good.
      if (source.readyState === EventSource.CLOSED) timer = setTimeout(open, OPEN_AGAIN_MS * (0.5 + Math.random()));
    };
    // The server names each event after its topic, and named events reach only listeners of that name.
    for (const topic of TOPICS) source.addEventListener(topic, hear);
  };
  open();
  signal.addEventListener('abort', () => {
    clearTimeout(timer);
    source.close();
    done();
  });
}

function readEvent(data: string): LiveEvent | null {
  const parsed = liveEvent.safeParse(JSON.parse(data));
  return parsed.success ? (parsed.data as LiveEvent) : null;
}
