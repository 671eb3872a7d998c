import { randomUUID } from 'node:crypto';
import { withClient } from '../../tools/database.mjs';
import type { Api } from '../api/harness.ts';
import type { BuiltCooperative } from './cooperative.ts';
import type { SharedRound } from './shared-round.ts';
import { buildSharingRound } from './sharing-round.ts';

/** One row each of a window for claims, of who waits for a dish, of a correction, and of a claim before a share-out. */
export async function addClaimTerms(api: Api, cooperative: BuiltCooperative, shared: SharedRound): Promise<void> {
  const { coordinator, path } = cooperative;
  const [alder, birch] = cooperative.households;
  await coordinator.ok('PUT', `${path}/rounds/${shared.id}/claim-window`, {
    window: { opensAt: '2026-11-20T08:00:00.000Z', closesAt: '2027-02-01T20:00:00.000Z' },
  });
  await coordinator.ok('POST', `${path}/waiting`, { householdId: birch?.id, recipeId: shared.containers[0]?.recipeId });
  await coordinator.ok('POST', `${path}/share-outs/${shared.view.shareOutId}/corrections`, {
    containerId: shared.of('Birch').at(-1)?.id,
    kind: 'broken',
    reason: 'The lid was open',
  });
  const third = await buildSharingRound(api, cooperative, {
    number: 3,
    dishes: [{ name: 'Soup', containers: [2, 2] }],
    participants: [{ household: 'Alder', weight: '1' }],
  });
  await withClient(api.database.ownerUrl, (client) =>
    client.query(
      `INSERT INTO early_claim (cooperative_id, id, container_id, household_id, balance_after, ahead_limit, created_by)
       VALUES ($1, $2, $3, $4, 0, 4000000, $5)`,
      [cooperative.id, randomUUID(), third.containers[0]?.id, alder?.id, alder?.personId],
    ),
  );
}
