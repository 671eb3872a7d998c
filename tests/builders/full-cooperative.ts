import { randomUUID } from 'node:crypto';
import { withClient } from '../../tools/database.mjs';
import type { Api } from '../api/harness.ts';
import { buildCooperative, type BuiltCooperative } from './cooperative.ts';
import { DATES, HOUSEHOLDS, moveOn, startRound, stockPantry } from './pantry.ts';
import { buildSharedRound, type SharedRound } from './shared-round.ts';

/** A cooperative with at least one row of everything: a round that is bought for, one that is shared out, receipts, swaps, invitations. */
export async function buildFullCooperative(api: Api): Promise<BuiltCooperative & { shared: SharedRound }> {
  const cooperative = await buildCooperative(api, { households: HOUSEHOLDS });
  const { coordinator, path } = cooperative;
  const [alder, birch, cedar] = cooperative.households.map(({ id }) => id);
  const pantry = await stockPantry(cooperative);
  const round = await startRound(cooperative, pantry, { kitchenHouseholdId: alder, cookHouseholdIds: [alder, birch] });
  await moveOn(cooperative, round.id, 'buying');
  await coordinator.ok('POST', `${path}/rounds/${round.id}/receipts`, {
    sellerId: pantry.sellers['Mill']?.id,
    paidByHouseholdId: alder,
    boughtOn: DATES.buyOn,
    lines: [{ label: 'Onions', ingredientId: pantry.ingredients['Onions']?.id, amountMinor: '101' }],
  });
  await coordinator.ok('POST', `${path}/payments`, {
    fromHouseholdId: birch,
    toHouseholdId: alder,
    amountMinor: '10',
    on: DATES.buyOn,
  });
  const shared = await buildSharedRound(api, cooperative, {
    number: 2,
    dishes: [
      { name: 'Stew', containers: [4, 4, 4] },
      { name: 'Pie', containers: [4, 4, 4] },
    ],
    participants: ['Alder', 'Birch', 'Cedar'].map((household) => ({ household, weight: '2' })),
  });
  await coordinator.ok('POST', `${path}/swaps`, {
    fromHouseholdId: alder,
    toHouseholdId: cedar,
    giveContainerIds: [shared.of('Alder')[0]?.id],
    getContainerIds: [shared.of('Cedar')[0]?.id],
  });
  await coordinator.ok('POST', `${path}/invitations`, { householdId: birch, roles: ['adult'] });
  await withClient(api.database.ownerUrl, (client) =>
    client.query(
      `INSERT INTO exclusion_confirmed (cooperative_id, id, container_id, household_id, subjects, words, created_by)
       VALUES ($1, $2, $3, $4, '{milk}', 'We know', $5)`,
      [cooperative.id, randomUUID(), shared.of('Birch')[0]?.id, birch, cooperative.households[1]?.personId],
    ),
  );
  await withClient(api.database.ownerUrl, (client) =>
    client.query(
      `INSERT INTO probe_reading (cooperative_id, id, batch_id, household_id, rule, started_at, measured_at, celsius)
       VALUES ($1, $2, $3, $4, 'cooked', '2026-11-21T10:00Z', '2026-11-21T11:00Z', 40)`,
      [cooperative.id, randomUUID(), shared.batches['Stew'], alder],
    ),
  );
  await withClient(api.database.ownerUrl, (client) =>
    client.query(
      `INSERT INTO job (cooperative_id, id, kind, subject_id, input, actor, created_by, state, ended_at)
       VALUES ($1, $2, 'notice-mail', $3, '{}', $4, $5, 'stopped', now())`,
      [
        cooperative.id,
        randomUUID(),
        round.id,
        { householdId: alder, roles: [], displayName: 'A' },
        cooperative.households[0]?.personId,
      ],
    ),
  );
  return { ...cooperative, shared };
}
