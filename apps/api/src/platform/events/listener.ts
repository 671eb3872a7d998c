import { Inject, Injectable, Logger, type BeforeApplicationShutdown } from '@nestjs/common';
import { topic as topicSchema, type Topic } from '@frostmoot/contract';
import { setTimeout as delay } from 'node:timers/promises';
import pg from 'pg';
import type { Config } from '../config/config.ts';
import { CONFIG } from '../config/tokens.ts';

export interface Told {
  seq: bigint;
  topic: Topic;
  subjectId: string | null;
}
export interface Subscriber {
  tell(event: Told): void;
  /** the connection was gone for a while: events may have been missed */
  missed(): void;
  end(): void;
}

const LONGEST_PAUSE_MS = 10_000;

/** One connection per process that hears of every commit with an outbox row, and hands it to the open streams of that cooperative. */
@Injectable()
export class OutboxListener implements BeforeApplicationShutdown {
  private readonly subscribers = new Map<string, Set<Subscriber>>();
  private readonly workers = new Set<() => void>();
  private readonly logger = new Logger('outbox');
  private client: pg.Client | undefined;
  private connecting: Promise<void> | undefined;
  private closing = false;

  constructor(@Inject(CONFIG) private readonly config: Config) {}

  /** Hears of a cooperative's events from when the promise resolves; call the answer to stop. */
  async subscribe(cooperativeId: string, subscriber: Subscriber): Promise<() => void> {
    this.connecting ??= this.connect();
    try {
      await this.connecting;
    } catch (error) {
      this.connecting = undefined;
      throw error;
    }
    const others = this.subscribers.get(cooperativeId) ?? new Set();
    this.subscribers.set(cooperativeId, others.add(subscriber));
    return () => {
      others.delete(subscriber);
      if (others.size === 0 && this.subscribers.get(cooperativeId) === others) this.subscribers.delete(cooperativeId);
    };
  }

  /** Wakes whoever does jobs when there may be one, from as soon as the database can be reached; call the answer to stop. */
  onWork(wake: () => void): () => void {
    this.workers.add(wake);
    if (!this.connecting) {
      this.connecting = this.connect();
      this.connecting.then(wake, () => {
        this.connecting = undefined;
      });
    }
    return () => this.workers.delete(wake);
  }

  async beforeApplicationShutdown(): Promise<void> {
    this.closing = true;
    for (const subscriber of this.all()) subscriber.end();
    await this.connecting?.catch(() => undefined);
    await this.client?.end().catch(() => undefined);
  }

  private all(): Subscriber[] {
    return [...this.subscribers.values()].flatMap((group) => [...group]);
  }

  private async connect(): Promise<void> {
    const client = new pg.Client({
      connectionString: this.config.directDatabaseUrl,
      keepAlive: true,
      connectionTimeoutMillis: 10_000,
    });
    client.on('notification', ({ channel, payload }) => {
      if (channel === 'frostmoot_jobs') for (const wake of this.workers) wake();
      else this.hear(payload ?? '');
    });
    // A cut connection says so more than once, and an error that nobody hears ends the process.
    client.on('error', () => void this.reconnect(client));
    client.once('end', () => void this.reconnect(client));
    await client.connect();
    await client.query('LISTEN frostmoot_jobs');
    await client.query('LISTEN frostmoot');
    this.client = client;
  }

  private async reconnect(lost: pg.Client): Promise<void> {
    if (this.closing || this.client !== lost) return;
    this.client = undefined;
    this.logger.warn('connection for live events lost');
    for (let pause = 100; !this.closing; pause = Math.min(pause * 2, LONGEST_PAUSE_MS)) {
      await delay(pause);
      try {
        await this.connect();
        for (const subscriber of this.all()) subscriber.missed();
        for (const wake of this.workers) wake();
        return;
      } catch {
        // The database is still away; the next attempt waits longer.
      }
    }
  }

  private hear(payload: string): void {
    const [cooperativeId = '', seq = '', topic, subjectId = ''] = payload.split(' ');
    const known = topicSchema.safeParse(topic);
    if (!known.success || !/^\d+$/.test(seq)) return;
    for (const subscriber of this.subscribers.get(cooperativeId) ?? []) {
      subscriber.tell({ seq: BigInt(seq), topic: known.data, subjectId: subjectId === '' ? null : subjectId });
    }
  }
}
