import type { NestFastifyApplication } from '@nestjs/platform-fastify';
import { randomUUID } from 'node:crypto';
import { createApp } from '../../apps/api/src/main.ts';
import { readConfig, type Config } from '../../apps/api/src/platform/config/config.ts';
import { brokenInvariants, createTestDatabase, type TestDatabase } from '../database/test-database.ts';

export const ORIGIN = 'http://localhost:4310';
type Method = 'GET' | 'POST' | 'PUT' | 'PATCH' | 'DELETE';

export interface CallOptions {
  /** Idempotency-Key; a new one when left out, none when null */
  key?: string | null;
  ifMatch?: number | string;
  headers?: Record<string, string>;
}

export interface Answer<T = Record<string, unknown>> {
  status: number;
  headers: Headers;
  text: string;
  body: T;
}

/** Speaks to the API over HTTP as one browser. */
export class Client {
  constructor(
    readonly url: string,
    public cookie = '',
  ) {}

  async call<T = Record<string, unknown>>(
    method: Method,
    path: string,
    body?: unknown,
    { key, ifMatch, headers = {} }: CallOptions = {},
  ): Promise<Answer<T>> {
    const write = method !== 'GET';
    const idempotencyKey = key === undefined ? randomUUID() : key;
    const response = await fetch(`${this.url}/api${path}`, {
      method,
      headers: {
        ...(this.cookie ? { cookie: this.cookie } : {}),
        ...(write ? { origin: ORIGIN } : {}),
        ...(write && idempotencyKey !== null ? { 'idempotency-key': idempotencyKey } : {}),
        ...(body === undefined ? {} : { 'content-type': 'application/json' }),
        ...(ifMatch === undefined ? {} : { 'if-match': typeof ifMatch === 'number' ? `"${ifMatch}"` : ifMatch }),
        ...headers,
      },
      ...(body === undefined ? {} : { body: typeof body === 'string' ? body : JSON.stringify(body) }),
    });
    const set = response.headers.getSetCookie()[0];
    if (set !== undefined) this.cookie = set.split(';')[0] ?? '';
    const text = await response.text();
    const json = response.headers.get('content-type')?.includes('json') === true;
    return { status: response.status, headers: response.headers, text, body: (json ? JSON.parse(text) : null) as T };
  }

  /** The body of an answer that must be a success. */
  async ok<T = Record<string, unknown>>(
    method: Method,
    path: string,
    body?: unknown,
    options?: CallOptions,
  ): Promise<T> {
    const answer = await this.call<T>(method, path, body, options);
    if (answer.status >= 300) throw new Error(`${method} ${path} answered ${answer.status}: ${answer.text}`);
    return answer.body;
  }
}

export interface Api {
  app: NestFastifyApplication;
  url: string;
  config: Config;
  database: TestDatabase;
  /** nobody is signed in yet */
  client(cookie?: string): Client;
  signInAs(email: string, password: string): Promise<Client>;
  stop(): Promise<void>;
}

/**
 * The API over a database of its own on a free port. `stop` fails when the data has come to break an invariant. As `owner` the API sees past row-level
 * security, so that its own checks stand alone.
 */
export async function startApi(settings: Partial<Config> = {}, role: 'app' | 'owner' = 'app'): Promise<Api> {
  const database = await createTestDatabase();
  const databaseUrl = role === 'app' ? database.appUrl : database.ownerUrl;
  const config: Config = {
    ...readConfig({ DATABASE_URL: databaseUrl, PUBLIC_URL: ORIGIN, LOG_LEVEL: 'fatal', DATABASE_POOL: '10' }),
    ...settings,
  };
  const app = await createApp(config);
  await app.listen(0, '127.0.0.1');
  const url = await app.getUrl();
  const client = (cookie?: string) => new Client(url, cookie);
  return {
    app,
    url,
    config,
    database,
    client,
    signInAs: async (email, password) => {
      const made = client();
      await made.ok('POST', '/sign-in', { email, password });
      return made;
    },
    stop: async () => {
      await app.close();
      const broken = await brokenInvariants(database.ownerUrl);
      await database.drop();
      if (broken.length > 0) throw new Error(`Invariants are broken: ${JSON.stringify(broken)}`);
    },
  };
}
