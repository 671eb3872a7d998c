import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import { EventsService } from '../../apps/api/src/platform/events/events.service.ts';
import { withClient } from '../../tools/database.mjs';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { until } from '../builders/until.ts';
import { startApi, type Api, type Client } from './harness.ts';

interface Event {
  id: string;
  event: string;
  data: { topic: string; subjectId: string | null };
}

/** Reads server-sent events until closed. */
class Stream {
  readonly events: Event[] = [];
  ended = false;
  private readonly controller = new AbortController();
  private text = '';

  /** how far it was when it had caught up */
  place: string | undefined;

  static async open(api: Api, client: Client, path: string, lastEventId?: string, after = ''): Promise<Stream> {
    const stream = new Stream();
    const headers = { cookie: client.cookie, ...(lastEventId === undefined ? {} : { 'last-event-id': lastEventId }) };
    const url = `${api.url}/api${path}/events${after && `?after=${after}`}`;
    const response = await fetch(url, { headers, signal: stream.controller.signal });
    expect(response.headers.get('content-type')).toBe('text/event-stream; charset=utf-8');
    expect(response.headers.get('content-security-policy')).toContain("default-src 'self'");
    void stream.read(response).catch(() => undefined);
    return stream;
  }

  async until(count: number): Promise<Event[]> {
    await until(() => this.events.length >= count);
    return this.events;
  }

  close(): void {
    this.controller.abort();
  }

  private async read(response: Response): Promise<void> {
    const decoder = new TextDecoder();
    for await (const chunk of response.body ?? []) {
      this.text += decoder.decode(chunk, { stream: true });
      const blocks = this.text.split('\n\n');
      this.text = blocks.pop() ?? '';
      for (const block of blocks.filter((found) => !found.startsWith(':'))) this.hear(parsed(block));
    }
    this.ended = true;
  }

  private hear(event: Event): void {
    if (event.event === 'place') this.place = event.id;
    else this.events.push(event);
  }
}

function parsed(block: string): Event {
  const fields = Object.fromEntries(
    block.split('\n').map((line) => /^(\w+): (.*)$/.exec(line)?.slice(1) ?? []),
  ) as Record<string, string>;
  return {
    id: fields['id'] ?? '',
    event: fields['event'] ?? '',
    data: JSON.parse(fields['data'] ?? 'null') as Event['data'],
  };
}

describe('the live stream', () => {
  let api: Api;
  let cooperative: BuiltCooperative;
  let other: BuiltCooperative;
  beforeAll(async () => {
    api = await startApi();
    cooperative = await buildCooperative(api);
    other = await buildCooperative(api);
  });
  afterAll(() => api.stop());
  const add = (name: string, to = cooperative) =>
    to.coordinator.ok<{ id: string }>('POST', `${to.path}/households`, { name });

  it('tells every member what has changed, and nobody else', async () => {
    const mine = await Stream.open(api, cooperative.household('Birch').client, cooperative.path);
    const theirs = await Stream.open(api, other.coordinator, other.path);
    const { id } = await add('Elm');
    const [event] = await mine.until(1);
    expect(event).toMatchObject({ event: 'households', data: { topic: 'households', subjectId: id } });
    expect(event?.id).toMatch(/^\d+$/);
    await add('Fir', other);
    expect((await theirs.until(1)).map(({ data }) => data.subjectId)).not.toContain(id);
    expect(mine.events).toHaveLength(1);
    mine.close();
    theirs.close();
  });

  it('goes on where it was left, without what happened before', async () => {
    const first = await Stream.open(api, cooperative.coordinator, cooperative.path);
    const before = await add('Gorse');
    const [seen] = await first.until(1);
    first.close();
    const missed = [(await add('Hazel')).id, (await add('Holly')).id];
    const resumed = await Stream.open(api, cooperative.coordinator, cooperative.path, seen?.id);
    await until(() => resumed.place !== undefined);
    const live = await add('Ivy');
    await until(() => resumed.events.some(({ data }) => data.subjectId === live.id));
    const told = resumed.events.map(({ data }) => data.subjectId);
    expect(told).toEqual(expect.arrayContaining([...missed, live.id]));
    expect(told.indexOf(missed[0] ?? '')).toBeLessThan(told.indexOf(live.id));
    expect(told).not.toContain(before.id);
    resumed.close();
  });

  it('says how far it is before anything happens, from where another connection goes on', async () => {
    const first = await Stream.open(api, cooperative.coordinator, cooperative.path);
    await until(() => first.place !== undefined);
    first.close();
    const { id } = await add('Rowan');
    const next = await Stream.open(api, cooperative.coordinator, cooperative.path, undefined, first.place);
    const told = () => next.events.map(({ data }) => data.subjectId);
    await until(() => told().includes(id));
    // What a browser says in the header when it comes back is newer than its address.
    await withClient(api.database.ownerUrl, (client) =>
      client.query(`INSERT INTO outbox (cooperative_id, topic) VALUES ($1, 'stock'), ($1, 'stock')`, [cooperative.id]),
    );
    await until(() => next.events.filter(({ event }) => event === 'stock').length === 2);
    next.close();
    const seen = next.events.at(-1)?.id;
    const again = await Stream.open(api, cooperative.coordinator, cooperative.path, seen, '0');
    await until(() => again.place !== undefined);
    // Of the minute before (one was written in the same moment), told once more, each has the number from which the stream goes on; after 0 they would have had their own.
    expect([...new Set(again.events.map((event) => event.id))]).toEqual([seen]);
    again.close();
  });

  it('does not lose what was given a lower number and committed later', async () => {
    await withClient(api.database.ownerUrl, async (slow) => {
      await slow.query('BEGIN');
      await slow.query(`INSERT INTO outbox (cooperative_id, topic) VALUES ($1, 'stock')`, [cooperative.id]);
      const stream = await Stream.open(api, cooperative.coordinator, cooperative.path);
      await add('Juniper');
      const [seen] = await stream.until(1);
      stream.close();
      await slow.query('COMMIT');
      const resumed = await Stream.open(api, cooperative.coordinator, cooperative.path, seen?.id);
      await until(() => resumed.events.some(({ event }) => event === 'stock'));
      resumed.close();
    });
  });

  it('says nothing of a change that was rolled back', async () => {
    const stream = await Stream.open(api, cooperative.coordinator, cooperative.path);
    expect(
      (await cooperative.coordinator.call('POST', `${cooperative.path}/households`, { name: 'Alder' })).status,
    ).toBe(409);
    const { id } = await add('Larch');
    expect((await stream.until(1)).map(({ data }) => data.subjectId)).toEqual([id]);
    stream.close();
  });

  it('tells every topic when too much was missed', async () => {
    const live = await Stream.open(api, cooperative.coordinator, cooperative.path);
    await withClient(api.database.ownerUrl, (client) =>
      client.query(`INSERT INTO outbox (cooperative_id, topic) SELECT $1, 'stock' FROM generate_series(1, 600)`, [
        cooperative.id,
      ]),
    );
    expect(await live.until(600)).toHaveLength(600);
    live.close();
    const stream = await Stream.open(api, cooperative.coordinator, cooperative.path, '0');
    await until(() => stream.place !== undefined);
    expect(new Set(stream.events.map(({ event }) => event))).toContain('accounts');
    expect(stream.events.length).toBeLessThan(20);
    stream.close();
  });

  it('comes back by itself when the connection to the database was cut', async () => {
    const stream = await Stream.open(api, cooperative.coordinator, cooperative.path);
    // As the API's own role: any other sees neither what a connection does, nor may end it.
    const { rows } = await withClient(api.database.appUrl, (client) =>
      client.query(
        `SELECT pg_terminate_backend(pid) AS cut FROM pg_stat_activity WHERE datname = current_database() AND query = 'LISTEN frostmoot'`,
      ),
    );
    expect(rows).toEqual([{ cut: true }]);
    await add('Maple');
    // Told by itself, or with all the others where too much came within the minute that is told again.
    const told = () => stream.events.map(({ event }) => event);
    await until(() => told().includes('households'));
    stream.close();
  });

  it('is for members only', async () => {
    const call = (client: Client, path: string) => client.call('GET', `${path}/events`);
    expect((await call(other.coordinator, cooperative.path)).status).toBe(404);
    expect((await call(api.client(), cooperative.path)).status).toBe(401);
  });

  it('ends for who signs out or is no longer a member', async () => {
    const events = api.app.get(EventsService);
    const usual = events.beatMs;
    events.beatMs = 50;
    const birch = cooperative.household('Birch');
    const cedar = cooperative.household('Cedar');
    const left = await Stream.open(api, birch.client, cooperative.path);
    const out = await Stream.open(api, cedar.client, cooperative.path);
    const stays = await Stream.open(api, cooperative.coordinator, cooperative.path);
    events.beatMs = usual;
    await withClient(api.database.ownerUrl, (client) =>
      client.query('DELETE FROM membership WHERE person_id = $1', [birch.personId]),
    );
    await cedar.client.call('POST', '/sign-out');
    await until(() => left.ended && out.ended);
    expect([left.ended, out.ended, stays.ended]).toEqual([true, true, false]);
    stays.close();
  });

  it('ends when the API stops', async () => {
    const short = await startApi();
    const place = await buildCooperative(short);
    const stream = await Stream.open(short, place.coordinator, place.path);
    await short.stop();
    await until(() => stream.ended);
  });
});
