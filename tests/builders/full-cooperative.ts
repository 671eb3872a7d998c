import { randomUUID } from 'node:crypto';
import { withClient } from '../../tools/database.mjs';
import type { Api } from '../api/harness.ts';
import { addClaimTerms } from './claim-terms.ts';
import { buildCooperative, type BuiltCooperative } from './cooperative.ts';
import { workOutRunSheet } from './jobs.ts';
import { DATES, HOUSEHOLDS, moveOn, startRound, stockPantry } from './pantry.ts';
import { cookingOf, proposeRota, publishRota } from './rota.ts';
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
  const [alders, birches] = [shared.of('Alder')[0], shared.of('Birch')[0]];
  for (const [household, offered, wished] of [
    [alder, alders, birches],
    [birch, birches, alders],
  ] as const) {
    await coordinator.ok('POST', `${path}/swap-offers`, { householdId: household, containerIds: [offered?.id] });
    await coordinator.ok('POST', `${path}/swap-wishes`, {
      householdId: household,
      recipeId: wished?.recipeId,
      containers: 1,
    });
  }
  const { personId } = cooperative.households[0] ?? { personId: '' };
  await withClient(api.database.ownerUrl, async (client) => {
    const ring = [cooperative.id, randomUUID(), personId];
    await client.query(
      `INSERT INTO swap_ring (cooperative_id, id, open_until, created_by) VALUES ($1, $2, '2027-01-01T10:00Z', $3)`,
      ring,
    );
    await client.query(
      `INSERT INTO swap_ring_member (cooperative_id, ring_id, household_id, position) VALUES ($1, $2, $3, 0), ($1, $2, $4, 1)`,
      [cooperative.id, ring[1], alder, birch],
    );
    await client.query(
      `INSERT INTO swap_ring_part (cooperative_id, ring_id, container_id, giver_household_id, receiver_household_id, wish_id)
       SELECT w.cooperative_id, $2, x.container, x.giver, x.receiver, w.id
       FROM (VALUES ($3::uuid, $5::uuid, $6::uuid), ($4::uuid, $6::uuid, $5::uuid)) x (container, giver, receiver)
       JOIN swap_wish w ON w.cooperative_id = $1 AND w.household_id = x.receiver`,
      [cooperative.id, ring[1], alders?.id, birches?.id, alder, birch],
    );
    await client.query(`INSERT INTO swap_ring_search (cooperative_id, round_id, created_by) VALUES ($1, $2, $3)`, [
      ...[cooperative.id, shared.id, personId],
    ]);
  });
  await cookingOf(cooperative, 'Alder', {
    minGapWeeks: 1,
    awayWeeks: ['2026-12-21'],
    recipeIds: [Object.values(pantry.recipes)[0]?.id],
  });
  await publishRota(cooperative, await proposeRota(cooperative, { from: '2027-02-01', weeks: 3, team: 1 }));
  await proposeRota(cooperative, { from: '2027-02-22', weeks: 1, team: 1 });
  await withClient(api.database.ownerUrl, (client) =>
    client.query(
      `INSERT INTO turn_swap (cooperative_id, id, from_household_id, to_household_id, gives_turn_id, gets_turn_id, open_until, created_by)
       SELECT $1, $2, a.household_id, b.household_id, a.id, b.id, '2027-01-31', $3 FROM rota_turn a
       JOIN rota_turn b ON b.cooperative_id = a.cooperative_id AND b.household_id = $4 AND a.household_id <> $4
       WHERE a.cooperative_id = $1 ORDER BY a.id, b.id LIMIT 1`,
      [cooperative.id, randomUUID(), cooperative.households[0]?.personId, birch],
    ),
  );
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
  await withClient(api.database.ownerUrl, async (client) => {
    const [id, personId] = [randomUUID(), cooperative.households[0]?.personId];
    await client.query(
      `INSERT INTO notice (cooperative_id, id, household_id, kind, facts, created_by) VALUES ($1, $2, $3, 'recall-closed', $4, $5)`,
      [cooperative.id, id, alder, { what: 'Mince', lot: '4471' }, personId],
    );
    for (const table of ['notice_seen', 'notice_mail']) {
      await client.query(`INSERT INTO ${table} (cooperative_id, notice_id, person_id) VALUES ($1, $2, $3)`, [
        cooperative.id,
        id,
        personId,
      ]);
    }
  });
  const { items } = await coordinator.ok<{ items: { id: string; name: string; version: number }[] }>(
    'GET',
    `${path}/ingredients`,
  );
  const onions = items.find(({ name }) => name === 'Onions');
  const declared = { ...onions, id: undefined, version: undefined, allergens: ['celery'] };
  await coordinator.ok('PATCH', `${path}/ingredients/${onions?.id}`, declared, { ifMatch: onions?.version ?? 0 });
  const { cookDays } = await coordinator.ok<{ cookDays: { id: string }[] }>('GET', `${path}/rounds/${round.id}`);
  await workOutRunSheet(coordinator, path, cookDays[0]?.id ?? '');
  await withClient(api.database.ownerUrl, (client) =>
    client.query(
      `INSERT INTO step_done (cooperative_id, id, cook_day_id, step_key, act, done_at, household_id, created_by)
       VALUES ($1, $2, $3, $4, 'done', '2026-11-21T10:00Z', $5, $6)`,
      [
        cooperative.id,
        randomUUID(),
        cookDays[0]?.id,
        `${randomUUID()}.1.0`,
        alder,
        cooperative.households[0]?.personId,
      ],
    ),
  );
  await addClaimTerms(api, cooperative, shared);
  const [slot, box] = [randomUUID(), shared.of('Birch')[0]?.id];
  await coordinator.ok('POST', `${path}/rounds/${shared.id}/collection`, {
    place: 'The porch of Alder',
    collectBy: '2026-12-01T20:00:00.000Z',
    slots: [{ id: slot, startsAt: '2026-11-30T17:00:00.000Z', endsAt: '2026-11-30T18:00:00.000Z' }],
  });
  const choice = { householdId: birch, slotId: null, delegateHouseholdId: cedar };
  await coordinator.ok('POST', `${path}/rounds/${shared.id}/collection/choices`, choice);
  await coordinator.ok('POST', `${path}/containers/${box}/hand-over`, { toHouseholdId: cedar });
  await addRecall(cooperative, shared);
  return { ...cooperative, shared };
}

/** A lot that went into a batch, a drill of it that is answered and closed, and a suspicion. */
async function addRecall(cooperative: BuiltCooperative, shared: SharedRound): Promise<void> {
  const { coordinator, path } = cooperative;
  const [alder] = cooperative.households;
  const sources = await coordinator.ok<{ receiptLines: { id: string }[] }>('GET', `${path}/recall-sources`);
  const lot = await coordinator.ok<{ id: string }>('POST', `${path}/lots`, {
    receiptLineId: sources.receiptLines[0]?.id,
    code: '4471',
  });
  await coordinator.ok('POST', `${path}/batches/${shared.batches['Stew']}/lots`, { lotIds: [lot.id] });
  const { id, mine } = await coordinator.ok<{ id: string; mine: { id: string }[] }>('POST', `${path}/recalls`, {
    source: 'lot',
    sourceId: lot.id,
    drill: true,
  });
  const answers = mine.map((container) => ({ containerId: container.id, answer: 'set-apart' }));
  if (answers.length > 0)
    await coordinator.ok('POST', `${path}/recalls/${id}/answers`, { householdId: alder?.id, answers });
  await coordinator.ok('POST', `${path}/recalls/${id}/close`, { words: 'It was a drill' });
  await coordinator.ok('POST', `${path}/suspicions`, { containerId: shared.of('Alder')[0]?.id, reason: 'warm' });
}
