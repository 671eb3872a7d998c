import { afterAll, beforeAll, beforeEach, describe, expect, it } from '@jest/globals';
import type { notices, rota, statement, thisWeek, turnSwap, turnSwaps } from '@frostmoot/contract';
import type { z } from 'zod';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { cookingOf, proposeRota, publishRota } from '../builders/rota.ts';
import { startApi, type Api } from './harness.ts';

type Swap = z.infer<typeof turnSwap> & { code?: string; errors?: { code: string }[] };
type Turn = z.infer<typeof rota>['turns'][number];

let api: Api;
let cooperative: BuiltCooperative;
let turns: Turn[];
beforeAll(async () => {
  api = await startApi({ now: new Date('2026-11-28T10:00:00.000Z') });
});
afterAll(() => api.stop());
beforeEach(async () => {
  cooperative = await buildCooperative(api);
  const drafted = await proposeRota(cooperative, { from: '2026-11-30', weeks: 6, team: 1 });
  ({ turns } = await publishRota(cooperative, drafted));
});

const idOf = (name: string) => cooperative.household(name).id;
const clientOf = (name: string) => cooperative.household(name).client;
const turnsOf = (name: string) => turns.filter(({ household }) => household?.name === name);
const propose = (name: string, gives: Turn | undefined, gets: Turn | undefined) =>
  clientOf(name).call<Swap>('POST', `${cooperative.path}/turn-swaps`, {
    fromHouseholdId: idOf(name),
    givesTurnId: gives?.id,
    getsTurnId: gets?.id,
    words: 'We are moving house',
  });
const answer = (name: string, { id, version }: Swap, what: 'accept' | 'decline' | 'withdraw') =>
  clientOf(name).call<Swap>(
    'POST',
    `${cooperative.path}/turn-swaps/${id}/answer`,
    { answer: what },
    { ifMatch: version },
  );
const noticesOf = async (name: string) =>
  (await clientOf(name).ok<z.infer<typeof notices>>('GET', `${cooperative.path}/notices`)).items;
const holderOf = async ({ id }: Turn) => {
  const now = await cooperative.coordinator.ok<z.infer<typeof rota>>('GET', `${cooperative.path}/rota`);
  return now.turns.find((turn) => turn.id === id);
};

describe('a swap of turns', () => {
  it('waits for the other household, and moves both turns and both lines of the book when it says yes', async () => {
    const [gives, gets] = [turnsOf('Birch')[0] as Turn, turnsOf('Cedar')[0] as Turn];
    const proposed = await propose('Birch', gives, gets);
    expect(proposed).toMatchObject({ status: 201, body: { state: 'proposed', openUntil: '2026-12-01T10:00:00.000Z' } });
    const week = await clientOf('Cedar').ok<z.infer<typeof thisWeek>>('GET', `${cooperative.path}/this-week`);
    expect(week.tasks).toMatchObject([
      { kind: 'answer-turn-swap', facts: { from: 'Birch', gives: gives.weekOf, gets: gets.weekOf } },
    ]);
    expect(await answer('Birch', proposed.body, 'accept')).toMatchObject({ status: 403 });
    expect((await noticesOf('Cedar'))[0]).toMatchObject({
      kind: 'turn-swap-asked',
      facts: { household: 'Birch', givesOn: gives.weekOf, getsOn: gets.weekOf },
    });
    expect(await answer('Cedar', proposed.body, 'accept')).toMatchObject({ status: 200, body: { state: 'done' } });
    expect((await noticesOf('Birch'))[0]).toMatchObject({
      kind: 'turn-swap-done',
      facts: { household: 'Cedar', givesOn: gives.weekOf, getsOn: gets.weekOf },
    });
    expect(await holderOf(gives)).toMatchObject({ household: { name: 'Cedar' }, state: 'swapped' });
    expect(await holderOf(gets)).toMatchObject({ household: { name: 'Birch' }, state: 'swapped' });
    const { lines, balance } = await clientOf('Birch').ok<z.infer<typeof statement>>(
      'GET',
      `${cooperative.path}/accounts/${idOf('Birch')}/statement?book=turns`,
    );
    expect(lines.slice(-2).map(({ kind, amount }) => [kind, amount])).toEqual([
      ['turn-swapped', '1000000'],
      ['turn-swapped', '-1000000'],
    ]);
    // Three households of one weight have two turns each of six: nobody is ahead, before or after.
    expect(balance).toBe('0');
    const board = await clientOf('Birch').ok<z.infer<typeof turnSwaps>>('GET', `${cooperative.path}/turn-swaps`);
    expect(board.ended.map(({ state }) => state)).toEqual(['done']);
    expect(board.mine.map(({ id }) => id)).toContain(gets.id);
  });

  it('is declined, withdrawn or lapses without moving anything, and is answered once', async () => {
    const [gives, gets] = [turnsOf('Birch')[0] as Turn, turnsOf('Cedar')[0] as Turn];
    const first = (await propose('Birch', gives, gets)).body;
    expect(await answer('Cedar', first, 'decline')).toMatchObject({ status: 200, body: { state: 'declined' } });
    expect(await answer('Cedar', { ...first, version: 2 }, 'accept')).toMatchObject({
      status: 409,
      body: { code: 'swap-closed' },
    });
    const second = (await propose('Birch', gives, gets)).body;
    expect(await answer('Birch', second, 'withdraw')).toMatchObject({ body: { state: 'withdrawn' } });
    const third = (await propose('Birch', gives, gets)).body;
    const present = api.config.now;
    api.config.now = new Date('2026-12-01T10:00:00.000Z');
    expect(await answer('Cedar', third, 'accept')).toMatchObject({ status: 409, body: { code: 'swap-closed' } });
    api.config.now = present;
    const board = await clientOf('Birch').ok<z.infer<typeof turnSwaps>>('GET', `${cooperative.path}/turn-swaps`);
    expect(board.ended.map(({ state }) => state).sort()).toEqual(['declined', 'lapsed', 'withdrawn']);
    expect((await holderOf(gives))?.household?.name).toBe('Birch');
  });

  it('is refused where a household is away, and lapses when that comes up before the answer', async () => {
    const [gives, gets] = [turnsOf('Birch')[0] as Turn, turnsOf('Cedar')[0] as Turn];
    await cookingOf(cooperative, 'Birch', { awayWeeks: [gets.weekOf] });
    expect(await propose('Birch', gives, gets)).toMatchObject({
      status: 409,
      body: {
        code: 'rota-limits',
        errors: [{ code: 'limit-away', params: { household: 'Birch', week: gets.weekOf } }],
      },
    });
    await cookingOf(cooperative, 'Birch', {});
    const { body } = await propose('Birch', gives, gets);
    await cookingOf(cooperative, 'Cedar', { awayWeeks: [gives.weekOf] });
    expect(await answer('Cedar', body, 'accept')).toMatchObject({ status: 409, body: { code: 'rota-limits' } });
    const board = await clientOf('Cedar').ok<z.infer<typeof turnSwaps>>('GET', `${cooperative.path}/turn-swaps`);
    expect(board.ended.map(({ state }) => state)).toEqual(['lapsed']);
    expect((await holderOf(gets))?.household?.name).toBe('Cedar');
  });

  it('is only for turns that each side has, of two weeks, between two households', async () => {
    const [birch, cedar, alder] = [turnsOf('Birch')[0], turnsOf('Cedar')[0], turnsOf('Alder')[0]];
    expect(await propose('Birch', cedar, alder)).toMatchObject({ status: 409, body: { code: 'turn-moved' } });
    expect(await propose('Birch', birch, turnsOf('Birch')[1])).toMatchObject({ status: 409 });
    expect(await propose('Birch', birch, { ...(cedar as Turn), id: cooperative.id })).toMatchObject({ status: 404 });
    const body = { fromHouseholdId: idOf('Cedar'), givesTurnId: cedar?.id, getsTurnId: birch?.id };
    expect(await clientOf('Birch').call('POST', `${cooperative.path}/turn-swaps`, body)).toMatchObject({ status: 403 });
  });

  it('happens once when two swaps of one turn are accepted at the same moment', async () => {
    for (let trial = 0; trial < 3; trial += 1) {
      const now = await cooperative.coordinator.ok<z.infer<typeof rota>>('GET', `${cooperative.path}/rota`);
      turns = now.turns;
      const wanted = turnsOf('Alder')[0] as Turn;
      const proposals = [
        (await propose('Birch', turnsOf('Birch')[0], wanted)).body,
        (await propose('Cedar', turnsOf('Cedar')[0], wanted)).body,
      ];
      const answers = await Promise.all(proposals.map((proposal) => answer('Alder', proposal, 'accept')));
      expect(answers.map(({ status }) => status).sort()).toEqual([200, 409]);
      expect(answers.find(({ status }) => status === 409)?.body.code).toBe('turn-moved');
      const winner = answers[0]?.status === 200 ? 'Birch' : 'Cedar';
      expect((await holderOf(wanted))?.household?.name).toBe(winner);
    }
  });

  it('and two households that take one open turn: one has it', async () => {
    const turn = turnsOf('Alder')[0] as Turn;
    const path = `${cooperative.path}/rota-turns/${turn.id}`;
    await clientOf('Alder').ok('POST', `${path}/release`, undefined, { ifMatch: 1 });
    const answers = await Promise.all(
      ['Birch', 'Cedar'].map((name) =>
        clientOf(name).call('POST', `${path}/cover`, { householdId: idOf(name) }, { ifMatch: 2 }),
      ),
    );
    expect(answers.map(({ status }) => status).sort()).toEqual([200, 412]);
  });
});
