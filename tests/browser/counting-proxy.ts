import { createServer, request, type IncomingMessage, type Server, type ServerResponse } from 'node:http';
import type { AddressInfo } from 'node:net';

/** What a stream of live events was asked for with. */
interface StreamAsked {
  after: string | null;
  lastEventId: string | null;
}

/** Stands before the API, counts the live streams that come to it, and can cut or hold them as a bad line would. */
export class CountingProxy {
  readonly asked: StreamAsked[] = [];
  private readonly open = new Set<ServerResponse>();
  private held: (() => void)[] | null = null;
  private constructor(
    private readonly server: Server,
    readonly url: string,
  ) {}

  static async before(api: string): Promise<CountingProxy> {
    const server = createServer((from, to) => proxy.pass(api, from, to));
    await new Promise<void>((listening) => server.listen(0, '127.0.0.1', listening));
    const proxy = new CountingProxy(server, `http://127.0.0.1:${(server.address() as AddressInfo).port}`);
    return proxy;
  }

  /** live streams at the server now */
  get streams(): number {
    return this.open.size;
  }

  /** No stream gets through until the answer is called. */
  hold(): () => void {
    this.held = [];
    return () => {
      const waiting = this.held ?? [];
      this.held = null;
      for (const go of waiting) go();
    };
  }

  cut(): void {
    for (const stream of this.open) stream.destroy();
  }

  async stop(): Promise<void> {
    this.server.closeAllConnections();
    await new Promise((closed) => this.server.close(closed));
  }

  private pass(api: string, from: IncomingMessage, to: ServerResponse): void {
    const address = new URL(from.url ?? '/', api);
    const isStream = address.pathname.endsWith('/events');
    const go = () => {
      const onward = request(address, { method: from.method, headers: from.headers }, (answer) => {
        to.writeHead(answer.statusCode ?? 502, answer.headers);
        answer.pipe(to);
      });
      onward.on('error', () => to.destroy());
      to.on('close', () => onward.destroy());
      from.pipe(onward);
    };
    if (!isStream) return go();
    this.asked.push({
      after: address.searchParams.get('after'),
      lastEventId: [from.headers['last-event-id']].flat()[0] ?? null,
    });
    this.open.add(to);
    to.on('close', () => this.open.delete(to));
    if (this.held) this.held.push(go);
    else go();
  }
}
