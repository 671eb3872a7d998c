import pg from 'pg';
import { startApi, type Api } from '../api/harness.ts';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { NOW } from '../builders/pantry.ts';
import { until } from '../builders/until.ts';
import { ask, everythingOf, operations, versionOf, type Ids } from './operations.ts';

export interface Row {
  /** an operation, with what tells two ways of asking for it apart: `answerSwap:accept` */
  act: string;
  cells: string[];
}
export interface Table {
  states: string[];
  rows: Row[];
}
/** How an act is asked for where its operation alone does not say it. */
export interface How {
  ids?: Ids;
  body?: object;
}

/** Reads a table: the states in its first line, then in a line for each act `yes`, the code of the refusal, or `-` where it does not arise. */
export function readTable(text: string): Table {
  const [head = '', ...lines] = text.trim().split('\n');
  const states = head.trim().split(/\s+/);
  const rows = lines.map((line) => {
    const [act = '', ...cells] = line.trim().split(/\s+/);
    if (cells.length !== states.length) throw new Error(`${act} has ${cells.length} cells for ${states.length} states`);
    return { act, cells };
  });
  return { states, rows };
}

export const operationOf = (act: string): string => act.split(':')[0] ?? '';
/** What tells two ways of asking for an operation apart. */
export const wayOf = (act: string): string => act.split(':')[1] ?? '';

/** A cooperative on a server, with a connection to its database as the owner. */
export interface Place {
  api: Api;
  db: pg.Client;
  cooperative: BuiltCooperative;
}

/** Stops what is under way, and waits until nothing is that would change rows by itself. */
export const idle = async ({ db, cooperative: { id: cooperativeId, coordinator, path } }: Place): Promise<void> => {
  const underWay = async (): Promise<string[]> => {
    const { rows } = await db.query<{ id: string }>(
      `SELECT id FROM job WHERE cooperative_id = $2 AND worker IS DISTINCT FROM $1 AND (state = 'running' OR (state = 'queued' AND due_at <= now()))`,
      [NOBODY, cooperativeId],
    );
    return rows.map(({ id }) => id);
  };
  for (const id of await underWay()) await coordinator.ok('POST', `${path}/jobs/${id}/stop`);
  await until(async () => (await underWay()).length === 0);
};
/** The worker of a job that a test says is running. */
export const NOBODY = '00000000-0000-4000-8000-000000000000';

/** Changes a row as the owner, for what no operation does. */
export const set = ({ db, cooperative }: Place, table: string, id: string | undefined, change: string) =>
  db.query(`UPDATE ${table} SET ${change} WHERE cooperative_id = $1 AND id = $2`, [cooperative.id, id]);

/** A server with its own database, and a connection to that. */
export async function startPlaces(): Promise<{ api: Api; build: () => Promise<Place>; stop: () => Promise<void> }> {
  const api = await startApi({ now: NOW });
  const db = new pg.Client({ connectionString: api.database.ownerUrl });
  await db.connect();
  return {
    api,
    build: async () => ({ api, db, cooperative: await buildCooperative(api) }),
    stop: async () => {
      await db.end();
      await api.stop();
    },
  };
}

export interface Stage {
  place: Place;
  /** the ids of things in a state; asked for once for all refusals in it, and anew for each act that is done */
  make: (state: string) => Promise<Ids>;
  how?: (act: string, ids: Ids) => How;
  /** tables in which a refusal is written down, since what it says has only come about by being looked at */
  mayWrite?: string[];
}

async function answerOf({ place: { db, cooperative }, how }: Stage, act: string, made: Ids): Promise<string> {
  const operation = operations.find(({ id }) => id === operationOf(act));
  if (!operation) throw new Error(`There is no operation for ${act}`);
  const { ids: others, body } = how?.(act, made) ?? {};
  const ids = { ...made, ...others };
  const version = await versionOf(db, cooperative.id, operation, ids);
  const { status, body: answer } = await ask(cooperative.coordinator, operation, cooperative.id, ids, version, body);
  return status < 300 ? 'yes' : String((answer as { code?: unknown } | null)?.code ?? status);
}

/** Asks for every cell of a table, in each state first what is refused, and gives what is not as the table says; a refusal must change no row. */
export async function wrongCells(stage: Stage, { states, rows }: Table): Promise<string[]> {
  const { place, make, mayWrite = [] } = stage;
  const { api, cooperative } = place;
  const wrong: string[] = [];
  for (const [column, state] of states.entries()) {
    const asked = rows.map(({ act, cells }) => ({ act, expected: cells[column] ?? '' }));
    const check = async (act: string, expected: string, ids: Ids): Promise<void> => {
      const found = await answerOf(stage, act, ids);
      if (found !== expected) wrong.push(`${act} when ${state}: ${found} instead of ${expected}`);
    };
    const refused = asked.filter(({ expected }) => expected !== 'yes' && expected !== '-');
    if (refused.length > 0) {
      const ids = await make(state);
      await idle(place);
      const before = await everythingOf(api, cooperative.id);
      for (const { act, expected } of refused) await check(act, expected, ids);
      const after = await everythingOf(api, cooperative.id);
      const changed = Object.keys(before).filter(
        (table) => !mayWrite.includes(table) && JSON.stringify(before[table]) !== JSON.stringify(after[table]),
      );
      if (changed.length > 0) wrong.push(`What is refused when ${state} has changed ${changed.join(', ')}`);
    }
    for (const { act, expected } of asked.filter((each) => each.expected === 'yes')) {
      await check(act, expected, await make(state));
    }
  }
  return wrong;
}
