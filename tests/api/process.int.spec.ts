import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { spawn, type ChildProcess } from 'node:child_process';
import { once } from 'node:events';
import { mkdir, mkdtemp, rm, writeFile } from 'node:fs/promises';
import { createServer } from 'node:net';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { withClient } from '../../tools/database.mjs';
import { until } from '../builders/until.ts';
import { createTestDatabase, type TestDatabase } from '../database/test-database.ts';
import { Client } from './harness.ts';

const MAIN = fileURLToPath(new URL('../../apps/api/dist/main.js', import.meta.url));
const INDEX = '<!doctype html><title>Frostmoot</title>';

/** The built API as a process of its own. */
class ApiProcess {
  output = '';
  errors = '';
  readonly child: ChildProcess;

  constructor(env: Record<string, string>) {
    this.child = spawn(process.execPath, [MAIN], { env: { PATH: process.env['PATH'], ...env }, stdio: 'pipe' });
    this.child.stdout?.on('data', (chunk: Buffer) => (this.output += chunk.toString()));
    this.child.stderr?.on('data', (chunk: Buffer) => (this.errors += chunk.toString()));
  }

  async ended(): Promise<number | null> {
    if (this.child.exitCode === null && this.child.signalCode === null) await once(this.child, 'exit');
    return this.child.exitCode;
  }
}

async function freePort(): Promise<number> {
  const server = createServer().listen(0, '127.0.0.1');
  await once(server, 'listening');
  const { port } = server.address() as { port: number };
  server.close();
  await once(server, 'close');
  return port;
}

describe('the API as a process', () => {
  let database: TestDatabase;
  let webDist: string;
  let port: number;
  let api: ApiProcess;
  beforeAll(async () => {
    database = await createTestDatabase();
    webDist = await mkdtemp(join(tmpdir(), 'frostmoot-web-'));
    await mkdir(join(webDist, 'assets'));
    await writeFile(join(webDist, 'index.html'), INDEX);
    await writeFile(join(webDist, 'icon.svg'), '<svg xmlns="http://www.w3.org/2000/svg"/>');
    await writeFile(join(webDist, 'assets', 'app-1a2b.js'), 'export {};');
    port = await freePort();
    api = new ApiProcess({ DATABASE_URL: database.appUrl, PORT: String(port), WEB_DIST: webDist });
    await answering(port);
  });
  afterAll(async () => {
    api.child.kill('SIGKILL');
    await api.ended();
    await database.drop();
    await rm(webDist, { recursive: true });
  });

  const get = (path: string, accept = '*/*') => fetch(`http://localhost:${port}${path}`, { headers: { accept } });
  const PAGE = 'text/html,application/xhtml+xml';

  it('gives the app for every address of a screen', async () => {
    for (const path of ['/', '/rounds/01900000-0000-7000-8000-000000000000/share-out', '/freezer?code=R1-A1-1']) {
      const response = await get(path, PAGE);
      expect([response.status, await response.text()]).toEqual([200, INDEX]);
      expect(response.headers.get('content-type')).toBe('text/html; charset=utf-8');
      expect(response.headers.get('cache-control')).toBe('no-cache');
      expect(response.headers.get('content-security-policy')).toContain("script-src 'self' 'wasm-unsafe-eval';");
      expect(response.headers.get('permissions-policy')).toBe('camera=(self), microphone=(), geolocation=()');
    }
  });

  it('gives files as they are, assets for good', async () => {
    const asset = await get('/assets/app-1a2b.js');
    expect([asset.status, asset.headers.get('cache-control')]).toEqual([200, 'public, max-age=31536000, immutable']);
    const icon = await get('/icon.svg');
    expect([icon.headers.get('content-type'), icon.headers.get('cache-control')]).toEqual([
      'image/svg+xml',
      'no-cache',
    ]);
  });

  it('never gives the app for what should be something else', async () => {
    for (const [path, accept] of [
      ['/assets/app-9z9z.js', '*/*'],
      ['/assets/app-9z9z.js', PAGE],
      ['/api/nowhere', PAGE],
      ['/api', PAGE],
      ['/missing.png', 'image/png'],
      ['/../package.json', '*/*'],
      ['/%2e%2e/package.json', '*/*'],
    ] as const) {
      const response = await get(path, accept);
      expect([path, response.status]).toEqual([path, 404]);
      expect(response.headers.get('content-type')).toBe('application/problem+json; charset=utf-8');
    }
  });

  it('writes nothing of a person into its log', async () => {
    const client = new Client(`http://localhost:${port}`);
    const origin = { origin: `http://localhost:${port}` };
    const body = {
      name: 'Marker Yard',
      currency: 'EUR',
      timeZone: 'Europe/Madrid',
      locale: 'en',
      unitSystem: 'metric',
      householdName: 'Markerhouse',
      displayName: 'Mara Marker',
      email: 'marker@example.org',
      password: 'marker password',
    };
    const { memberships } = await client.ok<{ memberships: { cooperativeId: string; householdId: string }[] }>(
      'POST',
      '/cooperatives',
      body,
      { headers: origin },
    );
    const path = `/cooperatives/${memberships[0]?.cooperativeId}/households/${memberships[0]?.householdId}`;
    await client.ok(
      'POST',
      `${path}/diners`,
      { name: 'Markerchild', ageBand: 'child', restrictions: [{ subject: 'peanut', strength: 'hard' }], consent: true },
      { headers: origin },
    );
    await client.call(
      'POST',
      '/sign-in',
      { email: 'marker@example.org', password: 'wrong marker' },
      { headers: origin },
    );
    await client.call('POST', `${path}/diners`, '{"name":"Markerchild', { headers: origin });
    await client.call('GET', `${path}?email=marker@example.org`);
    // Each request has its line once it has been answered; that of the last comes after all others.
    await client.call('GET', '/health/ready?last=marker@example.org');
    const complete = () => api.output.slice(0, api.output.lastIndexOf('\n')).split('\n');
    await until(() => complete().at(-1)?.includes('/api/health/ready') === true);
    const lines = complete().map((line) => JSON.parse(line) as { route?: string; status?: number });
    expect(lines).toContainEqual(expect.objectContaining({ method: 'POST', route: '/api/sign-in', status: 401 }));
    const said = JSON.stringify(lines.filter(({ route }) => route !== undefined));
    expect(said).not.toMatch(/marker|peanut|127\.0\.0\.1|cookie/i);
    expect(api.output).not.toMatch(/marker|peanut|cookie/i);
  });

  it('lives on when the database cuts every connection, and its live streams with it', async () => {
    const client = new Client(`http://localhost:${port}`);
    const account = { email: 'cut@example.org', password: 'a long password' };
    const { memberships } = await client.ok<{ memberships: { cooperativeId: string }[] }>(
      'POST',
      '/cooperatives',
      {
        ...{ name: 'Cut Yard', currency: 'EUR', timeZone: 'Europe/Madrid', locale: 'en', unitSystem: 'metric' },
        ...{ householdName: 'Cut', displayName: 'Somebody', ...account },
      },
      { headers: { origin: `http://localhost:${port}` } },
    );
    const stop = new AbortController();
    const stream = await fetch(`http://localhost:${port}/api/cooperatives/${memberships[0]?.cooperativeId}/events`, {
      headers: { cookie: client.cookie },
      signal: stop.signal,
    });
    expect(stream.status).toBe(200);
    // As the API's own role, since nobody else but a superuser may end its connections.
    const { rows } = await withClient(database.appUrl, (own) =>
      own.query<{ query: string; cut: boolean }>(
        `SELECT query, pg_terminate_backend(pid) AS cut FROM pg_stat_activity
         WHERE datname = current_database() AND usename = current_user AND pid <> pg_backend_pid()`,
      ),
    );
    expect(rows).toContainEqual({ query: 'LISTEN frostmoot', cut: true });
    // It listens and answers again by itself.
    const listens = () =>
      withClient(database.appUrl, async (own) => {
        const { rowCount } = await own.query(
          `SELECT FROM pg_stat_activity WHERE datname = current_database() AND query = 'LISTEN frostmoot'`,
        );
        return rowCount === 1;
      });
    await until(listens);
    await until(async () => (await get('/api/health/ready')).status === 200);
    expect([api.child.exitCode, api.errors]).toEqual([null, '']);
    stop.abort();
  });

  it('says in one sentence that its port is taken, and ends', async () => {
    const second = new ApiProcess({ DATABASE_URL: database.appUrl, PORT: String(port) });
    expect(await second.ended()).toBe(1);
    expect(second.errors).toBe(`Port ${port} is taken by another program; set PORT to a free one.\n`);
  });

  it('does not start with a wrong setting', async () => {
    for (const [env, words] of [
      [{}, /^A setting is wrong: DATABASE_URL: .+\n$/],
      [{ DATABASE_URL: 'mysql://x/y' }, /^A setting is wrong: DATABASE_URL: must start with postgresql:\/\/\n$/],
      [{ DATABASE_URL: database.appUrl, PORT: 'many' }, /^A setting is wrong: PORT: .+\n$/],
      [
        { DATABASE_URL: database.appUrl, PUBLIC_URL: 'http://frostmoot.example' },
        /^A setting is wrong: PUBLIC_URL: .+ would send the session cookie in the clear; .+\n$/,
      ],
      [{ DATABASE_URL: database.appUrl, WEB_DIST: '/nowhere' }, /^A setting is wrong: WEB_DIST: .+\n$/],
    ] as const) {
      const refused = new ApiProcess({ ...env, PORT: 'PORT' in env ? env.PORT : '0' });
      expect(await refused.ended()).toBe(1);
      expect(refused.errors).toMatch(words);
    }
  });

  it('is alive but not ready without its database', async () => {
    const own = await freePort();
    const lost = new ApiProcess({
      DATABASE_URL: `postgresql://nobody:x@127.0.0.1:${await freePort()}/none`,
      PORT: String(own),
    });
    await answering(own);
    const ready = await fetch(`http://localhost:${own}/api/health/ready`);
    expect([ready.status, await ready.json()]).toMatchObject([503, { code: 'unavailable' }]);
    lost.child.kill('SIGTERM');
    await lost.ended();
  });

  it('stops when told to, letting who is connected go', async () => {
    const idle = await get('/api/health/live');
    await idle.text();
    api.child.kill('SIGTERM');
    expect([await api.ended(), api.child.signalCode]).toEqual([null, 'SIGTERM']);
    await expect(get('/api/health/live')).rejects.toThrow();
  });
});

async function answering(port: number): Promise<void> {
  const isAlive = () =>
    fetch(`http://localhost:${port}/api/health/live`).then(
      (response) => response.ok,
      () => false,
    );
  await until(isAlive);
}
