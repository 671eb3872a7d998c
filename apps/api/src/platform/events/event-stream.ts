import type { ServerResponse } from 'node:http';
import type { Subscriber, Told } from './listener.ts';

/** One open stream in the form of server-sent events (HTML standard, section 9.2). */
export class EventStream implements Subscriber {
  private waiting: Told[] | null = [];
  /** greatest number sent, from which the stream goes on after a gap */
  last: bigint;

  constructor(
    private readonly response: ServerResponse,
    last: bigint,
    private readonly onMissed: () => void,
  ) {
    this.last = last;
  }

  /** Holds events back until what was missed has been sent. */
  tell(event: Told): void {
    if (this.waiting) this.waiting.push(event);
    else this.send(event);
  }

  /** Sends what was missed, then what came meanwhile, then how far that is, then everything as it comes. */
  catchUp(missed: readonly Told[]): void {
    for (const event of missed) this.send(event);
    const sent = new Set(missed.map((event) => event.seq));
    for (const event of this.waiting ?? []) if (!sent.has(event.seq)) this.send(event);
    this.waiting = null;
    // Whoever takes the stream over before the first event knows by it where to go on.
    this.response.write(`id: ${this.last}\nevent: place\ndata: ${this.last}\n\n`);
  }

  missed(): void {
    this.waiting ??= [];
    this.onMissed();
  }

  /** A comment line keeps proxies from closing a quiet stream. */
  beat(): void {
    this.response.write(': still here\n\n');
  }

  end(): void {
    this.response.end();
  }

  private send(event: Told): void {
    if (event.seq > this.last) this.last = event.seq;
    const data = JSON.stringify({ topic: event.topic, subjectId: event.subjectId });
    this.response.write(`id: ${this.last}\nevent: ${event.topic}\ndata: ${data}\n\n`);
  }
}
