import type { job } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Client } from '../api/harness.ts';
import { until } from './until.ts';

type Job = z.infer<typeof job>;

/** The job when it has ended, however it has. */
export async function ended(client: Client, cooperativePath: string, id: string): Promise<Job> {
  const read = () => client.ok<Job>('GET', `${cooperativePath}/jobs/${id}`);
  await until(async () => (await read()).endedAt !== null);
  return read();
}

/** The run sheet of a cook day, worked out to its end. */
export async function workOutRunSheet<T>(
  client: Client,
  cooperativePath: string,
  cookDayId: string,
  body: object = {},
): Promise<T> {
  const path = `${cooperativePath}/cook-days/${cookDayId}/run-sheet`;
  const { id } = await client.ok<Job>('POST', path, body);
  const { state, problem } = await ended(client, cooperativePath, id);
  if (state !== 'done') throw new Error(`The run sheet was not worked out: ${state} ${JSON.stringify(problem)}`);
  return client.ok<T>('GET', path);
}
