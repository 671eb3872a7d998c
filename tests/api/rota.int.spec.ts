import { afterAll, beforeAll, beforeEach, describe, expect, it } from '@jest/globals';
import type { notices, rota, rotaTurnHistory, statement, thisWeek } from '@frostmoot/contract';
import type { z } from 'zod';
import { withClient } from '../../tools/database.mjs';
import { buildCooperative, type BuiltCooperative } from '../builders/cooperative.ts';
import { HOUSEHOLDS, NOW, stockPantry, type Pantry } from '../builders/pantry.ts';
import { cookingOf, proposeRota, publishRota } from '../builders/rota.ts';
import { startApi, type Api } from './harness.ts';

type Rota = z.infer<typeof rota> & { code?: string; errors?: { code: string; detail: string }[] };
type Turn = Rota['turns'][number];

let api: Api;
let cooperative: BuiltCooperative;
let pantry: Pantry;
beforeAll(async () => {
  api = await startApi({ now: NOW });
});
// Stopping it checks every invariant, those of turns and their book among them.
afterAll(() => api.stop());
beforeEach(async () => {
  cooperative = await buildCooperative(api, { households: HOUSEHOLDS });
  pantry = await stockPantry(cooperative);
});

const MONDAYS = ['2026-11-30', '2026-12-07', '2026-12-14', '2026-12-21', '2026-12-28', '2027-01-04'];
const asked = { from: '2026-12-02', weeks: 6, team: 1 };
const idOf = (name: string) => cooperative.household(name).id;
const clientOf = (name: string) => cooperative.household(name).client;
const namesBy = (turns: readonly Turn[]) => turns.map(({ household }) => household?.name ?? 'nobody');
const noticesOf = async (name: string) =>
  (await clientOf(name).ok<z.infer<typeof notices>>('GET', `${cooperative.path}/notices`)).items;
const act = (name: string, turn: Turn, what: 'release' | 'cover', body?: object) =>
  clientOf(name).call<Rota>('POST', `${cooperative.path}/rota-turns/${turn.id}/${what}`, body, {
    ifMatch: turn.version,
  });
const balances = async () => {
  const { households } = await cooperative.coordinator.ok<{
    households: { household: { name: string }; turnsMicro: string }[];
  }>('GET', `${cooperative.path}/accounts`);
  return Object.fromEntries(households.map(({ household, turnsMicro }) => [household.name, Number(turnsMicro)]));
};

describe('the rota', () => {
  it('gives turns by weight, carries the rest in the turns book, and starts the next rota from it', async () => {
    const drafted = await proposeRota(cooperative, asked);
    // Weights 2, 2 and 5/2 of 13/2: of six turns 24/13, 24/13 and 30/13 are due, so two each are nearest.
    expect(drafted.draft).toMatchObject({ proof: 'optimal', broken: [], brokenAccepted: true });
    expect(drafted.draft?.weeks.map(({ weekOf }) => weekOf)).toEqual(MONDAYS);
    expect(drafted.draft?.loads.map(({ target, given, owedAfter }) => [target, given, owedAfter])).toEqual([
      ['24/13', 2, '-2/13'],
      ['24/13', 2, '-2/13'],
      ['30/13', 2, '4/13'],
    ]);
    const published = await publishRota(cooperative, drafted);
    expect(published.draft).toBeNull();
    expect(published.turns.map(({ weekOf }) => weekOf)).toEqual(MONDAYS);
    const first = await balances();
    // In whole micro-turns, by largest remainder.
    expect(first).toEqual({ Alder: -153846, Birch: -153846, Cedar: 307692 });

    // Cedar is due 15/13 of the next three and the third of a turn that is left, so it has two of them.
    const next = await proposeRota(cooperative, { from: '2027-01-11', weeks: 4, team: 1 });
    const turnsOf = (name: string) => next.draft?.loads.find(({ household }) => household.name === name)?.given;
    expect([turnsOf('Alder'), turnsOf('Birch'), turnsOf('Cedar')]).toEqual([1, 1, 2]);
    await publishRota(cooperative, next);
    expect(Object.values(await balances()).reduce((a, b) => a + b, 0)).toBe(0);
    const { lines } = await clientOf('Cedar').ok<z.infer<typeof statement>>(
      'GET',
      `${cooperative.path}/accounts/${idOf('Cedar')}/statement?book=turns`,
    );
    expect(lines.map(({ kind, amount }) => [kind, amount])).toEqual([
      ['rota-published', '2307692'],
      ['rota-published', '-2000000'],
      ['rota-published', expect.stringMatching(/^15384/)],
      ['rota-published', '-2000000'],
    ]);
  });

  it('names what collides and the cheapest repair, and publishes it only when somebody has accepted that', async () => {
    const stew = pantry.recipes['Lentil stew'] ?? Object.values(pantry.recipes)[1];
    await cookingOf(cooperative, 'Alder', { awayWeeks: ['2026-12-08'], recipeIds: [stew?.id] });
    await cookingOf(cooperative, 'Birch', { awayWeeks: ['2026-12-07'], recipeIds: [stew?.id] });
    const plans = [{ weekOf: '2026-12-09', recipeIds: [stew?.id] }];
    const drafted = await proposeRota(cooperative, { ...asked, plans });
    const limit = { weekOf: '2026-12-07' };
    expect(drafted.draft?.conflict).toHaveLength(3);
    expect(drafted.draft?.conflict).toMatchObject(
      expect.arrayContaining([
        expect.objectContaining({ ...limit, kind: 'skill', dish: { id: stew?.id, name: stew?.name } }),
        expect.objectContaining({ ...limit, kind: 'away', household: { id: idOf('Alder'), name: 'Alder' } }),
        expect.objectContaining({ ...limit, kind: 'away', household: { id: idOf('Birch'), name: 'Birch' } }),
      ]),
    );
    expect(drafted.draft?.repair).toMatchObject([{ ...limit, kind: 'skill' }]);
    expect(drafted.draft).toMatchObject({ broken: [{ kind: 'skill' }], brokenAccepted: false });
    const path = `${cooperative.path}/rota-proposals/${drafted.draft?.id}`;
    const refused = await cooperative.coordinator.call<Rota>('POST', `${path}/publish`, undefined, { ifMatch: 1 });
    expect(refused).toMatchObject({ status: 409, body: { code: 'rota-limits', errors: [{ code: 'limit-skill' }] } });
    const accepted = await cooperative.coordinator.ok<Rota>('POST', `${path}/limits`, undefined, { ifMatch: 1 });
    expect(accepted.draft?.brokenAccepted).toBe(true);
    const published = await publishRota(cooperative, accepted);
    expect(published.turns[1]?.household?.name).toBe('Cedar');
  });

  it('is changed by hand: what that breaks is named, and a turn that is kept stays when it is worked out again', async () => {
    await cookingOf(cooperative, 'Alder', { minGapWeeks: 2, awayWeeks: ['2026-11-30'] });
    const { draft } = await proposeRota(cooperative, asked);
    const path = `${cooperative.path}/rota-proposals/${draft?.id}`;
    const put = (turns: object[], ifMatch: number) =>
      cooperative.coordinator.call<Rota>('PUT', `${path}/turns`, { turns }, { ifMatch });
    const cooks = ['Alder', 'Birch', 'Cedar', 'Alder', 'Birch', 'Cedar'];
    const byHand = cooks.map((name, week) => ({ weekOf: MONDAYS[week], householdId: idOf(name), kept: week === 0 }));
    const changed = await put(byHand, 1);
    expect(changed.body.draft?.broken).toMatchObject([
      { kind: 'away', weekOf: MONDAYS[0], household: { name: 'Alder' } },
    ]);
    expect(await put(byHand, 1)).toMatchObject({ status: 412 });
    expect(await put([{ weekOf: '2027-05-03', householdId: idOf('Alder') }], 2)).toMatchObject({ status: 400 });
    expect(await put([{ weekOf: MONDAYS[0], householdId: cooperative.id }], 2)).toMatchObject({ status: 400 });
    expect(await put([...byHand, ...byHand.slice(0, 1)], 2)).toMatchObject({ status: 400 });
    const more = await put([...byHand, { weekOf: MONDAYS[2], householdId: idOf('Alder') }], 2);
    expect(more.body.draft?.broken.map(({ kind, weekOf, cooks: count }) => [kind, weekOf, count])).toEqual([
      ['away', MONDAYS[0], null],
      ['most', MONDAYS[2], 2],
      ['gap', MONDAYS[2], null],
      ['gap', MONDAYS[3], null],
    ]);

    const kept = [{ weekOf: MONDAYS[3], householdId: idOf('Birch') }];
    const again = await proposeRota(cooperative, { ...asked, kept });
    expect(again.draft?.weeks[3]?.turns).toEqual([
      { household: { id: idOf('Birch'), name: 'Birch' }, kept: true, published: false },
    ]);
    expect(await put(byHand, 3)).toMatchObject({ status: 409, body: { code: 'already-confirmed' } });
  });

  it('is carried through an illness: the turn is open, another takes it, and the book follows', async () => {
    const { turns } = await publishRota(cooperative, await proposeRota(cooperative, asked));
    const before = await balances();
    const turn = turns.find(({ household }) => household?.name === 'Birch') as Turn;
    expect(await act('Cedar', turn, 'release')).toMatchObject({ status: 403 });
    const released = await act('Birch', turn, 'release');
    const open = released.body.turns.find(({ id }) => id === turn.id) as Turn;
    expect(open).toMatchObject({ household: null, state: 'open', version: 2 });
    expect(await balances()).toEqual({ ...before, Birch: (before['Birch'] ?? 0) + 1_000_000 });
    const week = await clientOf('Cedar').ok<z.infer<typeof thisWeek>>('GET', `${cooperative.path}/this-week`);
    expect(week.weeks.flatMap((each) => each.turns).filter(({ state }) => state === 'open')).toMatchObject([
      { id: turn.id, household: null },
    ]);

    expect(await act('Cedar', turn, 'cover', { householdId: idOf('Cedar') })).toMatchObject({ status: 412 });
    const covered = await act('Cedar', open, 'cover', { householdId: idOf('Cedar') });
    expect(covered.body.turns.find(({ id }) => id === turn.id)).toMatchObject({
      household: { name: 'Cedar' },
      state: 'covered',
    });
    expect(await balances()).toEqual({
      ...before,
      Birch: (before['Birch'] ?? 0) + 1_000_000,
      Cedar: (before['Cedar'] ?? 0) - 1_000_000,
    });
    // Birch and Cedar know it from the page; who could have taken it was told, and so was Birch in the end.
    const freed = { household: 'Birch', weekOn: turn.weekOf };
    expect((await noticesOf('Alder'))[0]).toMatchObject({ kind: 'turn-free', facts: freed });
    expect((await noticesOf('Birch'))[0]).toMatchObject({
      kind: 'turn-covered',
      facts: { household: 'Cedar', weekOn: turn.weekOf },
    });
    const own = turns.filter(({ household }) => household?.name === 'Alder').map(({ weekOf }) => weekOf);
    expect((await noticesOf('Alder'))[1]).toMatchObject({
      kind: 'rota-published',
      facts: { n: own.length, firstOn: own.sort()[0], fromOn: MONDAYS[0], untilOn: MONDAYS.at(-1) },
    });
    expect((await noticesOf('Cedar')).map(({ kind }) => kind)).toEqual(['turn-free', 'rota-published']);
    const { moves } = await clientOf('Alder').ok<z.infer<typeof rotaTurnHistory>>(
      'GET',
      `${cooperative.path}/rota-turns/${turn.id}`,
    );
    expect(moves.map(({ kind, from, to }) => [kind, from?.name ?? null, to?.name ?? null])).toEqual([
      ['published', null, 'Birch'],
      ['illness', 'Birch', null],
      ['cover', null, 'Cedar'],
    ]);
    // Birch has a turn to cook more than weight alone would give it, so the next rota gives it more.
    const next = await proposeRota(cooperative, { from: '2027-01-11', weeks: 4, team: 1 });
    const given = next.draft?.loads.map(({ given: turnsOf }) => turnsOf);
    expect(given).toEqual([1, 2, 1]);
  });

  it('says what taking a turn would break, and lets a household take it all the same', async () => {
    const { turns } = await publishRota(cooperative, await proposeRota(cooperative, asked));
    const turn = turns.find(({ household }) => household?.name === 'Birch') as Turn;
    await cookingOf(cooperative, 'Cedar', { awayWeeks: [turn.weekOf] });
    const refused = await act('Cedar', turn, 'cover', { householdId: idOf('Cedar') });
    expect(refused).toMatchObject({
      status: 409,
      body: { code: 'rota-limits', errors: [{ code: 'limit-away', params: { household: 'Cedar' } }] },
    });
    const taken = await act('Cedar', turn, 'cover', { householdId: idOf('Cedar'), despite: true });
    expect(taken.status).toBe(200);
    expect(await act('Cedar', turn, 'cover', { householdId: idOf('Alder') })).toMatchObject({ status: 403 });
    const own = taken.body.turns.find(({ id }) => id === turn.id) as Turn;
    expect(await act('Cedar', own, 'cover', { householdId: idOf('Cedar') })).toMatchObject({ status: 409 });
  });

  it('keeps published turns in a later rota, fills those that nobody has, and counts each once', async () => {
    const { turns } = await publishRota(cooperative, await proposeRota(cooperative, { ...asked, weeks: 3 }));
    const released = await act(turns[1]?.household?.name ?? '', turns[1] as Turn, 'release');
    const again = await proposeRota(cooperative, asked);
    expect(again.draft?.weeks.map((week) => week.turns.map(({ published }) => published))).toEqual([
      [true],
      [false],
      [true],
      [false],
      [false],
      [false],
    ]);
    const published = await publishRota(cooperative, again);
    expect(published.turns).toHaveLength(6);
    expect(published.turns.map(({ id }) => id).slice(0, 3)).toEqual(released.body.turns.map(({ id }) => id));
    expect(namesBy(published.turns)).not.toContain('nobody');
    // Everything that was due has been given, so what is left is less than a turn each.
    for (const balance of Object.values(await balances())) expect(Math.abs(balance)).toBeLessThan(1_000_000);
  });

  it('goes into the cook day of the round planned for its week, and takes in cooks who were set there by hand', async () => {
    const { turns } = await publishRota(cooperative, await proposeRota(cooperative, { ...asked, team: 2 }));
    const dates = {
      planUntil: '2026-12-07',
      buyOn: '2026-12-10',
      cookOn: '2026-12-12',
      shareOn: '2026-12-13',
      swapUntil: '2026-12-16',
      settleOn: '2026-12-18',
    };
    interface Round {
      id: string;
      cookDays: { date: string; turns: { household: { name: string }; state: string }[] }[];
    }
    const round = await cooperative.coordinator.ok<Round>('POST', `${cooperative.path}/rounds`, {
      ...dates,
      dinners: 2,
    });
    const planned = turns.filter(({ weekOf }) => weekOf === '2026-12-07');
    const cooksOf = (found: Round) => found.cookDays[0]?.turns.map(({ household }) => household.name);
    expect(cooksOf(round)?.sort()).toEqual(namesBy(planned).sort());

    // The day may get helpers, but a published turn is given up on the rota.
    const [one, two] = planned as [Turn, Turn];
    const saveDay = (householdIds: (string | undefined)[]) =>
      cooperative.coordinator.call<Round & Rota>('PUT', `${cooperative.path}/rounds/${round.id}/cook-days`, {
        date: '2026-12-12',
        startsAt: '10:00',
        kitchenHouseholdId: idOf('Alder'),
        householdIds,
      });
    expect(await saveDay([one.household?.id])).toMatchObject({
      status: 400,
      body: { errors: [{ code: 'published-turn' }] },
    });
    const third = ['Alder', 'Birch', 'Cedar'].find((name) => !namesBy(planned).includes(name)) ?? '';
    const current = await cooperative.coordinator.ok<Rota>('GET', `${cooperative.path}/rota`);
    const now = current.turns.find(({ id }) => id === two.id) as Turn;
    expect(now.cookDayId).not.toBeNull();
    await act(third, now, 'cover', { householdId: idOf(third), despite: true });
    const after = await cooperative.coordinator.ok<Round>('GET', `${cooperative.path}/rounds/${round.id}`);
    expect(cooksOf(after)?.sort()).toEqual([one.household?.name, third].sort());
    expect(after.cookDays[0]?.turns.find(({ household }) => household.name === third)?.state).toBe('covered');
  });

  it('publishes cooks who were set by hand on a cook day, and lets the draft leave one out', async () => {
    const dates = {
      planUntil: '2026-11-30',
      buyOn: '2026-12-02',
      cookOn: '2026-12-05',
      shareOn: '2026-12-06',
      swapUntil: '2026-12-09',
      settleOn: '2026-12-11',
    };
    await cooperative.coordinator.ok('POST', `${cooperative.path}/rounds`, {
      ...dates,
      dinners: 2,
      kitchenHouseholdId: idOf('Alder'),
      cookHouseholdIds: [idOf('Alder'), idOf('Birch')],
    });
    const drafted = await proposeRota(cooperative, asked);
    expect(drafted.draft?.weeks[0]?.turns.map(({ household, published }) => [household.name, published])).toEqual([
      ['Alder', true],
      ['Birch', true],
    ]);
    const turns = drafted.draft?.weeks.flatMap(({ weekOf, turns: cooks }) =>
      cooks.map(({ household }) => ({ weekOf, householdId: household.id })),
    );
    const path = `${cooperative.path}/rota-proposals/${drafted.draft?.id}`;
    const without = turns?.filter(({ weekOf, householdId }) => weekOf !== MONDAYS[0] || householdId !== idOf('Birch'));
    const changed = await cooperative.coordinator.ok<Rota>('PUT', `${path}/turns`, { turns: without }, { ifMatch: 1 });
    expect(changed.draft?.broken.map(({ kind }) => kind)).toContain('kept');
    const accepted = await cooperative.coordinator.ok<Rota>('POST', `${path}/limits`, undefined, { ifMatch: 2 });
    await publishRota(cooperative, accepted);
    const week = await clientOf('Birch').ok<z.infer<typeof thisWeek>>('GET', `${cooperative.path}/this-week`);
    expect(week.weeks[1]?.cookDays[0]?.turns.map(({ household }) => household.name)).toEqual(['Alder']);
  });

  it('is for coordinators to make, and refuses weeks that are over and things that are not there', async () => {
    const propose = (name: string, body: object) =>
      clientOf(name).call<Rota>('POST', `${cooperative.path}/rota-proposals`, body);
    expect(await propose('Birch', asked)).toMatchObject({ status: 403 });
    expect(await propose('Alder', { ...asked, from: '2026-11-22' })).toMatchObject({
      status: 400,
      body: { errors: [{ pointer: '#/from' }] },
    });
    const plans = [{ weekOf: MONDAYS[0], recipeIds: [cooperative.id] }];
    expect(await propose('Alder', { ...asked, plans })).toMatchObject({ status: 400 });
    const kept = [{ weekOf: MONDAYS[0], householdId: cooperative.id }];
    expect(await propose('Alder', { ...asked, kept })).toMatchObject({ status: 400 });
    const rows = await withClient(api.database.ownerUrl, (client) =>
      client.query('SELECT 1 FROM rota WHERE cooperative_id = $1', [cooperative.id]),
    );
    expect(rows.rowCount).toBe(0);
    const path = `${cooperative.path}/households/${idOf('Birch')}/cooking`;
    expect(await clientOf('Cedar').call('PUT', path, {}, { ifMatch: 1 })).toMatchObject({ status: 403 });
    expect(await clientOf('Birch').call('PUT', path, { recipeIds: [cooperative.id] }, { ifMatch: 1 })).toMatchObject({
      status: 400,
      body: { errors: [{ pointer: '#/recipeIds/0' }] },
    });
    expect(
      await clientOf('Birch').call(
        'PUT',
        path,
        { awayWeeks: ['2026-12-16', '2026-12-14'], minGapWeeks: 2 },
        { ifMatch: 1 },
      ),
    ).toMatchObject({ status: 200, body: { awayWeeks: ['2026-12-14'], minGapWeeks: 2, version: 2 } });
  });
});
