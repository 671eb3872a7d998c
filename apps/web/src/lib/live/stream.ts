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

const OPEN_AGAIN_MS = 5000;

type Listener = (event: LiveEvent | 'reconnected') => void;

/** What the tab that listens passes on: what it heard, or nothing but how far the stream is. */
interface Passed {
  place: string;
  event: LiveEvent | 'reconnected' | null;
}

/**
 * The server's event stream, opened once per browser: the tab that holds the lock listens and passes everything on to the others, with how far
 * it is. When that tab closes, the next in line goes on from there, so that nothing is missed in between and nothing is read again for nothing.
 */
export function followLive(url: string, listen: Listener): () => void {
  const stop = new AbortController();
  const name = `frostmoot:${url}`;
  const channel = new BroadcastChannel(name);
  // What the listening tab has seen before this one came; everything later comes over the channel.
  let place = keptPlace(name);
  channel.onmessage = ({ data }: MessageEvent<Passed>) => {
    place = data.place;
    if (data.event) listen(data.event);
  };
  const pass = (passed: Passed) => {
    place = passed.place;
    keepPlace(name, place);
    channel.postMessage(passed);
    if (passed.event) listen(passed.event);
  };
  const lead = (from: Pick<Lead, 'after' | 'isLate'>) =>
    new Promise<void>((done) => openStream(url, pass, { ...from, signal: stop.signal, done }));
  const stand = async () => {
    // The first tab of a browser has only just read everything, however long ago another was open.
    const wasFirst = await navigator.locks.request(name, { ifAvailable: true }, async (lock) => {
      if (lock && !stop.signal.aborted) await lead({ after: null, isLate: false });
      return lock !== null;
    });
    if (!wasFirst && !stop.signal.aborted)
      // Left in the very moment in which the lock is granted, a tab must not hold it.
      await navigator.locks.request(name, { signal: stop.signal }, () =>
        stop.signal.aborted ? null : lead({ after: place, isLate: true }),
      );
  };
  if (navigator.locks) {
    stand().catch((error: unknown) => {
      // Leaving while still waiting in line rejects with AbortError, which is no failure.
      if (!stop.signal.aborted) throw error;
    });
  } else {
    // Without Web Locks (plain http on a home network) each tab listens for itself.
    openStream(url, ({ event }) => event && listen(event), {
      signal: stop.signal,
      after: null,
      isLate: false,
      done: () => {},
    });
  }
  return () => {
    stop.abort();
    channel.close();
  };
}

function keptPlace(name: string): string | null {
  try {
    return localStorage.getItem(name);
  } catch {
    return null; // Storage is refused in some private windows; a tab then goes on from what it has heard itself.
  }
}

function keepPlace(name: string, place: string): void {
  try {
    localStorage.setItem(name, place);
  } catch {
    // As above.
  }
}

interface Lead {
  signal: AbortSignal;
  /** number of the last event seen; null to begin with what happens from now on */
  after: string | null;
  /** something may have happened since the page read what it shows */
  isLate: boolean;
  done: () => void;
}

function openStream(url: string, pass: (passed: Passed) => void, { signal, after, isLate, done }: Lead): void {
  let place = after;
  let mayHaveMissed = isLate;
  let source: EventSource;
  let timer: ReturnType<typeof setTimeout> | undefined;
  const hear = (message: MessageEvent<string>) => {
    place = message.lastEventId;
    pass({ place, event: readEvent(message.data) });
  };
  const caughtUp = ({ data }: MessageEvent<string>) => {
    // Without a number to go on from, nobody can say what was missed.
    const event = place === null && mayHaveMissed ? 'reconnected' : null;
    place = data;
    pass({ place, event });
  };
  const open = () => {
    // A broken connection is taken up again by the browser itself, which says the last id that it has seen in a header.
    source = new EventSource(place === null ? url : `${url}?after=${encodeURIComponent(place)}`);
    source.onerror = () => {
      // After a refusal (a server starting, say) it gives up for good.
      if (source.readyState !== EventSource.CLOSED) return;
      mayHaveMissed = true;
      timer = setTimeout(open, OPEN_AGAIN_MS * (0.5 + Math.random()));
    };
    source.addEventListener('place', caughtUp);
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
