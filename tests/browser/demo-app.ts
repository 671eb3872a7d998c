import { spawn, type ChildProcess } from 'node:child_process';
import { once } from 'node:events';
import { createInterface } from 'node:readline';
import { fileURLToPath } from 'node:url';
import type { me } from '@frostmoot/contract';
import type { z } from 'zod';
import { Client, ORIGIN } from '../api/harness.ts';
import { brokenInvariants, createTestDatabase } from '../database/test-database.ts';

export const PASSWORD = 'frost-and-thaw';
/** the instant at which the demo's server stands still */
export const DEMO_NOW = '2026-11-25T10:00:00Z';
export const coordinator = 'ines@quarry-row.example';
const path = (relative: string): string => fileURLToPath(new URL(`../../${relative}`, import.meta.url));

/** Somebody who is signed in, and their first cooperative. */
export interface Member {
  client: Client;
  cooperativeId: string;
  /** path of the cooperative in the API */
  base: string;
  householdId: string;
}

export interface DemoApp {
  url: string;
  /** the database as its owner, for what no screen can do */
  ownerUrl: string;
  signInAs(email: string): Promise<Member>;
  /** Fails when the data has come to break an invariant. */
  stop(): Promise<void>;
}

/** The built API and web app as `npm start` runs them, with the demo cooperative, on a fixed day so that every run shows the same dates. */
export async function startDemo(): Promise<DemoApp> {
  const database = await createTestDatabase();
  const env = {
    ...process.env,
    NODE_OPTIONS: '',
    DATABASE_URL: database.appUrl,
    DIRECT_DATABASE_URL: database.appUrl,
    FROSTMOOT_NOW: DEMO_NOW,
    PUBLIC_URL: ORIGIN,
    PORT: '0',
    WEB_DIST: path('apps/web/dist'),
  };
  const loading = spawn(process.execPath, [path('apps/api/dist/demo.js')], {
    env,
    stdio: ['ignore', 'ignore', 'inherit'],
  });
  const [code] = await once(loading, 'exit');
  if (code !== 0) throw new Error(`Loading the demo ended with ${String(code)}`);
  const server = spawn(process.execPath, [path('apps/api/dist/main.js')], {
    env,
    stdio: ['ignore', 'pipe', 'inherit'],
  });
  const url = await addressOf(server);
  return {
    url,
    ownerUrl: database.ownerUrl,
    signInAs: async (email) => {
      const client = new Client(url);
      const { memberships } = await client.ok<z.infer<typeof me>>('POST', '/sign-in', { email, password: PASSWORD });
      const [own] = memberships;
      if (!own) throw new Error(`${email} belongs to no cooperative`);
      const { cooperativeId, householdId } = own;
      return { client, cooperativeId, base: `/cooperatives/${cooperativeId}`, householdId };
    },
    stop: async () => {
      const ended = once(server, 'exit');
      server.kill('SIGTERM');
      await ended;
      const broken = await brokenInvariants(database.ownerUrl);
      await database.drop();
      if (broken.length > 0) throw new Error(`Invariants are broken: ${JSON.stringify(broken)}`);
    },
  };
}

/** The address that the API says in its log, which is then read on so that its pipe never fills. */
export async function addressOf({ stdout }: ChildProcess): Promise<string> {
  if (!stdout) throw new Error('The API was started without a pipe for its log');
  const lines = createInterface({ input: stdout });
  return new Promise((resolve, reject) => {
    lines.on('line', (line) => {
      const found = /listening at (http:[^\s"]+)/.exec(line);
      if (found?.[1]) resolve(found[1]);
    });
    lines.on('close', () => reject(new Error('The API ended before it listened')));
  });
}
