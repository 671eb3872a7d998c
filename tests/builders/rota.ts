import type { rota } from '@frostmoot/contract';
import type { z } from 'zod';
import type { BuiltCooperative } from './cooperative.ts';
import { ended } from './jobs.ts';

type Rota = z.infer<typeof rota>;

/** Says what a household's turns depend on. */
export async function cookingOf(cooperative: BuiltCooperative, name: string, fields: object): Promise<void> {
  const { path } = cooperative;
  const { id, client } = cooperative.household(name);
  const { version } = await client.ok<{ version: number }>('GET', `${path}/households/${id}/cooking`);
  await client.ok('PUT', `${path}/households/${id}/cooking`, fields, { ifMatch: version });
}

/** A draft of the rota, worked out to its end. */
export async function proposeRota({ path, coordinator }: BuiltCooperative, asked: object): Promise<Rota> {
  const { id } = await coordinator.ok<{ id: string }>('POST', `${path}/rota-proposals`, asked);
  const { state } = await ended(coordinator, path, id);
  if (state !== 'done') throw new Error(`The rota was not worked out: ${state}`);
  return coordinator.ok<Rota>('GET', `${path}/rota`);
}

export function publishRota({ path, coordinator }: BuiltCooperative, { draft }: Rota): Promise<Rota> {
  return coordinator.ok<Rota>('POST', `${path}/rota-proposals/${draft?.id}/publish`, undefined, {
    ifMatch: draft?.version ?? 0,
  });
}
