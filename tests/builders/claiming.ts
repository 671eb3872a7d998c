import type { shareOut } from '@frostmoot/contract';
import type { z } from 'zod';
import { withClient } from '../../tools/database.mjs';
import type { Api } from '../api/harness.ts';
import { brokenInvariants } from '../database/test-database.ts';
import type { BuiltCooperative } from './cooperative.ts';

export type ShareOutView = z.infer<typeof shareOut>;

export interface ClaimAnswer {
  code?: string;
  params?: Record<string, string | number>;
  container?: { holder: { name: string } | null; claim: string | null };
  balanceMicro?: string;
}

/** Two dishes in containers of four, one of them not for who must not eat wheat, and three households of equal weight. */
export const dishes = [
  { name: 'Stew', containers: [4, 4, 4] },
  { name: 'Pie', containers: [4, 4, 4], unfitFor: ['wheat'] },
];
export const participants = ['Alder', 'Birch', 'Cedar'].map((household) => ({ household, weight: '2' }));

/** What households and their coordinator do with the containers of a round, by the names of the households. */
export class Claiming {
  constructor(
    private readonly api: Api,
    private readonly cooperative: BuiltCooperative,
  ) {}

  async policy(change: object): Promise<void> {
    const { coordinator, path } = this.cooperative;
    const { version } = await coordinator.ok<{ version: number }>('GET', path);
    await coordinator.ok('PATCH', path, change, { ifMatch: version });
  }

  act<Answer = ClaimAnswer>(who: string, path: string, body = {}) {
    const { id, client } = this.cooperative.household(who);
    return client.call<Answer>('POST', `${this.cooperative.path}/${path}`, { householdId: id, ...body });
  }

  claim(who: string, containerId: string | undefined) {
    return this.act(who, `containers/${containerId}/claim`);
  }

  release(who: string, containerId: string | undefined) {
    return this.act(who, `containers/${containerId}/release`);
  }

  view({ id }: { id: string }): Promise<ShareOutView> {
    return this.cooperative.coordinator.ok('GET', `${this.cooperative.path}/rounds/${id}/share-out`);
  }

  propose({ id }: { id: string }): Promise<ShareOutView> {
    return this.cooperative.coordinator.ok('POST', `${this.cooperative.path}/rounds/${id}/share-out`);
  }

  confirm({ shareOutId, version }: ShareOutView): Promise<ShareOutView> {
    const path = `${this.cooperative.path}/share-outs/${shareOutId}/confirm`;
    return this.cooperative.coordinator.ok('POST', path, undefined, { ifMatch: version ?? 0 });
  }

  /** As the database's owner, for what no operation does. */
  sql(text: string, values: unknown[] = []) {
    return withClient(this.api.database.ownerUrl, (client) => client.query(text, values));
  }
}

/** The containers of a household by its name. */
export const containersOf = (shared: ShareOutView, who: string): string[] =>
  shared.parts.find(({ household }) => household.name === who)?.containers.map(({ id }) => id) ?? [];

/** What is broken in the books and in the claims. */
export async function brokenClaims(api: Api): Promise<unknown[]> {
  const { rows } = await withClient(api.database.ownerUrl, (client) =>
    client.query<object>('SELECT * FROM broken_invariant_claims'),
  );
  return [...(await brokenInvariants(api.database.ownerUrl)), ...rows];
}
