import { afterAll, beforeAll, describe, expect, it } from '@jest/globals';
import type { thisWeek } from '@frostmoot/contract';
import type { z } from 'zod';
import { buildFullCooperative } from '../builders/full-cooperative.ts';
import { buildCooperative } from '../builders/cooperative.ts';
import { NOW } from '../builders/pantry.ts';
import { buildSharedRound } from '../builders/shared-round.ts';
import { startApi, type Api } from './harness.ts';

type ThisWeek = z.infer<typeof thisWeek>;

describe('this week', () => {
  let api: Api;
  let cooperative: Awaited<ReturnType<typeof buildFullCooperative>>;
  beforeAll(async () => {
    api = await startApi({ now: NOW });
    cooperative = await buildFullCooperative(api);
  });
  afterAll(() => api.stop());
  const week = (name: string) =>
    cooperative.household(name).client.ok<ThisWeek>('GET', `${cooperative.path}/this-week`);
  const kinds = ({ tasks }: ThisWeek) => tasks.map(({ kind }) => kind);

  it('of a new cooperative has nothing to do and eight weeks from Monday on', async () => {
    const empty = await buildCooperative(api);
    const read = await empty.coordinator.ok<ThisWeek>('GET', `${empty.path}/this-week`);
    expect(read).toMatchObject({ today: '2026-11-28', round: null, tasks: [] });
    expect(read.households.map(({ name }) => name)).toEqual(['Alder', 'Birch', 'Cedar']);
    expect(read.weeks.map(({ weekOf }) => weekOf)).toEqual([
      '2026-11-23',
      '2026-11-30',
      '2026-12-07',
      '2026-12-14',
      '2026-12-21',
      '2026-12-28',
      '2027-01-04',
      '2027-01-11',
    ]);
  });

  it('shows who cooks, where and when', async () => {
    const { weeks, round } = await week('Cedar');
    expect(round).toMatchObject({ number: 1, stage: 'buying' });
    expect(weeks[0]?.cookDays).toMatchObject([
      { date: '2026-11-28', startsAt: '09:00', kitchen: { name: 'Alder' }, roundNumber: 1 },
    ]);
    expect(weeks[0]?.cookDays[0]?.turns.map(({ household }) => household.name)).toEqual(['Alder', 'Birch']);
  });

  it('gives each household what is next for it, what is late first', async () => {
    const { tasks } = await week('Alder');
    expect(tasks.slice(0, 2)).toMatchObject([
      { kind: 'confirm-share-out', due: '2026-11-23', late: true, facts: { round: 3 } },
      { kind: 'buy', due: '2026-11-26', late: true, facts: { round: 1 } },
    ]);
    expect(kinds(await week('Alder'))).toEqual(expect.arrayContaining(['buy', 'cook', 'claim', 'settle']));
    expect(kinds(await week('Birch'))).toEqual(expect.arrayContaining(['answer-turn-swap', 'cook', 'pay']));
    const cedar = await week('Cedar');
    expect(cedar.tasks.find(({ kind }) => kind === 'answer-swap')).toMatchObject({
      facts: { from: 'Alder' },
      late: false,
    });
    expect(kinds(cedar)).not.toContain('cook');
  });

  it('names what is due to be paid by the fewest payments', async () => {
    // Onions at 101 paid by Alder, split 2 : 2 : 5/2 with rounding; Birch has paid 10 of its part.
    const { paymentsDue } = await cooperative.coordinator.ok<{
      paymentsDue: { from: { name: string }; to: { name: string }; amountMinor: string }[];
    }>('GET', `${cooperative.path}/accounts`);
    expect(paymentsDue.length).toBeGreaterThan(0);
    for (const { from, to, amountMinor } of paymentsDue) {
      const { tasks } = await week(from.name);
      expect(tasks.filter(({ kind }) => kind === 'pay').map(({ facts }) => facts)).toContainEqual({
        to: to.name,
        amountMinor,
      });
    }
    expect(kinds(await week('Alder'))).not.toContain('pay');
  });

  it('asks for what is set aside to be claimed, and for what is claimed to be collected', async () => {
    const own = await buildCooperative(api);
    const round = await buildSharedRound(api, own, {
      dishes: [{ name: 'Stew', containers: [4, 4, 4] }],
      participants: own.households.map(({ name: household }) => ({ household, weight: '1' })),
    });
    const { id, client } = own.household('Birch');
    const tasks = async () => (await client.ok<ThisWeek>('GET', `${own.path}/this-week`)).tasks;
    const path = `/rounds/${round.id}/share-out`;
    expect(await tasks()).toMatchObject([{ kind: 'claim', facts: { containers: 1, portions: 4 }, path }]);
    await client.ok('POST', `${own.path}/rounds/${round.id}/claims`, { householdId: id });
    expect(await tasks()).toMatchObject([{ kind: 'collect', facts: { containers: 1, portions: 4 }, path }]);
  });

  it('of another household is for coordinators', async () => {
    const { id } = cooperative.household('Cedar');
    const path = `${cooperative.path}/this-week?householdId=${id}`;
    const seen = await cooperative.coordinator.ok<ThisWeek>('GET', path);
    expect(kinds(seen)).toEqual(kinds(await week('Cedar')));
    expect((await cooperative.household('Birch').client.call('GET', path)).body).toMatchObject({ status: 403 });
  });
});
