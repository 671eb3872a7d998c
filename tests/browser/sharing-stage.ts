import type { buying, kitchen, round as roundSchema } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Client } from '../api/harness.ts';
import type { Member } from './demo-app.ts';

type Round = z.infer<typeof roundSchema>;
type Buying = z.infer<typeof buying>;
type Kitchen = z.infer<typeof kitchen>;

/** Takes the demo's planned round through buying and cooking to its share-out, everything bought and made as planned; answers the round's id. */
export async function bringToSharing({ client: who, base, householdId }: Member): Promise<string> {
  const { items } = await who.ok<{ items: Round[] }>('GET', `${base}/rounds`);
  const round = items.find(({ stage }) => stage === 'planning');
  if (!round) throw new Error('The demo has no round that is being planned');
  const path = `${base}/rounds/${round.id}`;
  const moveOn = async (to: string) => {
    const { version } = await who.ok<Round>('GET', path);
    await who.ok('POST', `${path}/stage`, { to }, { ifMatch: version });
  };
  await moveOn('buying');
  const { lists } = await who.ok<Buying>('GET', `${path}/buying`);
  for (const { seller, lines, feeMinor } of lists) {
    const bought = lines.map(({ id, label, packs, plannedMinor: amountMinor }) => ({
      purchaseId: id,
      label,
      packs,
      amountMinor,
    }));
    const fee = feeMinor === '0' ? [] : [{ kind: 'fee', label: 'Delivery', amountMinor: feeMinor }];
    await who.ok('POST', `${path}/receipts`, {
      sellerId: seller.id,
      paidByHouseholdId: householdId,
      boughtOn: '2026-11-25',
      lines: [...bought, ...fee],
    });
  }
  await moveOn('cooking');
  const { batches } = await who.ok<Kitchen>('GET', `${path}/kitchen`);
  for (const { id, version, containerPlan } of batches) {
    const made = { frozenOn: '2026-11-25', containers: containerPlan };
    await who.ok('PUT', `${base}/batches/${id}/yield`, made, { ifMatch: version });
  }
  await moveOn('sharing');
  return round.id;
}

/** Changes the rules of the cooperative. */
export async function setPolicy(who: Client, base: string, change: object): Promise<void> {
  const { version } = await who.ok<{ version: number }>('GET', base);
  await who.ok('PATCH', base, change, { ifMatch: version });
}
