import { describe, expect, it } from '@jest/globals';
import { canonicalJson } from '../canonical.ts';
import { DomainError } from '../domain-error.ts';
import { format } from '../rational.ts';
import { explainShareOut } from './explain.ts';
import { readShareOut } from './share-out-input.ts';
import { shareContainers, shareOut } from './share-out.ts';
import { verifyShareOut } from './verify.ts';

const lot = (id: string, dish: string, containers: number, portions: number, more: object = {}) => ({
  id,
  dish,
  containers,
  portions,
  ...more,
});
const home = (id: string, weight: string, more: object = {}) => ({ id, weight, owed: '0', ...more });

function checked(input: { seed: string; households: object[]; lots: object[] }) {
  const output = shareOut(input);
  expect(verifyShareOut(input, output)).toEqual([]);
  return output;
}

const pointers = (input: unknown): string[] => {
  try {
    shareOut(input);
  } catch (error) {
    if (error instanceof DomainError) return error.errors.map(({ pointer }) => pointer);
    throw error;
  }
  return [];
};

describe('shareOut', () => {
  it('gives two of a batch that is one dinner for seven to a family of three or four each their part', () => {
    // Common practice, no source: one family dinner for seven is two, for three and for four.
    const output = checked({
      seed: 's',
      households: [home('three', '3'), home('four', '4')],
      lots: [lot('l', 'stew', 7, 1)],
    });
    expect(output.received).toEqual({ three: '3', four: '4' });
    expect(output.owedAfter).toEqual({ three: '0', four: '0' });
  });

  it('carries what sealed containers cannot divide, and makes it good in the next round', () => {
    const households = [home('a', '1'), home('b', '1')];
    const first = checked({ seed: '1', households, lots: [lot('l', 'stew', 3, 4)] });
    expect(Object.values(first.received).sort()).toEqual(['4', '8']);
    const again = households.map((household) => ({ ...household, owed: first.owedAfter[household.id] }));
    const second = checked({ seed: '1', households: again, lots: [lot('m', 'pie', 3, 4)] });
    expect(second.owedAfter).toEqual({ a: '0', b: '0' });
  });

  it('makes an allergic household whole from what it can eat', () => {
    const output = checked({
      seed: 's',
      households: [home('a', '1', { excludes: ['pie'] }), home('b', '1')],
      lots: [lot('l', 'stew', 6, 2), lot('m', 'pie', 6, 2)],
    });
    expect(output.entitlement).toEqual({ a: '12', b: '12' });
    expect(output.containers).toEqual({ a: { l: 6 }, b: { m: 6 } });
    expect(output.short).toEqual({});
  });

  it('shows what is impossible as short and does not carry it', () => {
    const output = checked({
      seed: 's',
      households: [home('a', '1', { excludes: ['pie'] }), home('b', '1')],
      lots: [lot('l', 'stew', 2, 2), lot('m', 'pie', 6, 2)],
    });
    expect(output.entitlement).toEqual({ a: '4', b: '12' });
    expect(output.short).toEqual({ a: '4' });
    expect(output.owedAfter).toEqual({ a: '0', b: '0' });
  });

  it('counts a side dish by half', () => {
    const output = checked({
      seed: 's',
      households: [home('a', '1', { excludes: ['rice'] }), home('b', '1', { excludes: ['stew'] })],
      lots: [lot('l', 'stew', 2, 2), lot('m', 'rice', 4, 2, { counts: '1/2' })],
    });
    expect(output.received).toEqual({ a: '4', b: '4' });
  });

  it('gives away what counts nothing, too', () => {
    const lots = [lot('l', 'stew', 2, 2), lot('m', 'broth', 4, 1, { counts: '0' })];
    const output = checked({ seed: 's', households: [home('a', '1'), home('b', '1')], lots });
    expect(output.containers).toEqual({ a: { l: 1, m: 2 }, b: { l: 1, m: 2 } });
  });

  it('lets held containers stay, even ones that are excluded, and fills up around them', () => {
    const output = checked({
      seed: 's',
      households: [home('a', '1', { holds: { l: 2 }, excludes: ['stew'] }), home('b', '1')],
      lots: [lot('l', 'stew', 3, 2), lot('m', 'pie', 3, 2)],
    });
    expect(output.containers.a?.l).toBe(2);
    expect(output.containers.b?.l).toBe(1);
  });

  it('spares dislikes when that costs no fairness, and only then', () => {
    const lots = [lot('l', 'stew', 4, 2), lot('m', 'pie', 4, 2)];
    const spared = checked({ seed: 's', households: [home('a', '1', { refuses: ['pie'] }), home('b', '1')], lots });
    expect(spared.containers.a).toEqual({ l: 4 });
    const both = [home('a', '1', { refuses: ['pie'] }), home('b', '1', { refuses: ['pie'] })];
    const shared = checked({ seed: 's', households: both, lots });
    expect(shared.received).toEqual({ a: '8', b: '8' });
    expect(shared.objective.refused).toBe(4);
  });

  it('meets wishes within the fair share of a dish', () => {
    const output = checked({
      seed: 's',
      households: [home('a', '1', { scores: { pie: 5 } }), home('b', '1', { scores: { stew: 5 } })],
      lots: [lot('l', 'stew', 3, 2), lot('m', 'pie', 3, 2)],
    });
    expect(output.containers).toEqual({ a: { l: 1, m: 2 }, b: { l: 2, m: 1 } });
  });

  it('uses a variety window for variety, but not more than the window', () => {
    const households = [home('a', '1', { refuses: ['pie'] }), home('b', '1')];
    const lots = [lot('l', 'stew', 2, 3), lot('m', 'pie', 2, 2)];
    const strict = shareOut({ seed: 's', households, lots });
    expect(strict.received).toEqual({ a: '5', b: '5' });
    const wide = shareOut({ seed: 's', households, lots, varietyWindow: '1' });
    expect(wide.containers).toEqual({ a: { l: 2 }, b: { m: 2 } });
    expect(verifyShareOut({ seed: 's', households, lots, varietyWindow: '1' }, wide)).toEqual([]);
    expect(shareOut({ seed: 's', households, lots, varietyWindow: '9/10' }).received).toEqual(strict.received);
  });

  it('keeps freezer space and leaves what fits nowhere', () => {
    const lots = [lot('l', 'stew', 6, 2, { containerMl: 1000 })];
    const households = [home('a', '1', { freezerMl: 1000 }), home('b', '1', { freezerMl: 3500 })];
    const output = checked({ seed: 's', households, lots });
    expect(output.containers).toEqual({ a: { l: 1 }, b: { l: 3 } });
    expect(output.unallotted).toEqual({ l: 2 });
    const roomy = checked({ seed: 's', households: [households[0] ?? {}, home('b', '1')], lots });
    expect(roomy.containers).toEqual({ a: { l: 1 }, b: { l: 5 } });
  });

  it('gives a household that has had far too much nothing, and asks nothing back', () => {
    const lots = [lot('l', 'stew', 4, 2)];
    const households = [home('a', '1', { owed: '-30' }), home('b', '1', { owed: '30' })];
    const output = checked({ seed: 's', households, lots });
    expect(output.received).toEqual({ a: '0', b: '8' });
    expect(output.owedAfter).toEqual({ a: '-26', b: '26' });
  });

  it('gives a household of weight nil only what it is owed, and what nobody else may eat', () => {
    const lots = [lot('l', 'stew', 4, 2), lot('m', 'pie', 2, 2)];
    const away = home('away', '0');
    expect(checked({ seed: 's', households: [away, home('b', '1')], lots }).received.away).toBe('0');
    const owed = [home('away', '0', { owed: '4' }), home('b', '1', { owed: '-4' })];
    expect(checked({ seed: 's', households: owed, lots }).received).toEqual({ away: '4', b: '8' });
    const only = [away, home('b', '1', { excludes: ['pie'] })];
    expect(checked({ seed: 's', households: only, lots }).received).toEqual({ away: '4', b: '8' });
    const nobody = [home('a', '0'), home('b', '0')];
    expect(checked({ seed: 's', households: nobody, lots }).entitlement).toEqual({ a: '6', b: '6' });
  });

  it('does with no lots, no containers, one household and nobody at all', () => {
    const one = [home('a', '1', { owed: '1/2' })];
    expect(checked({ seed: 's', households: one, lots: [] }).owedAfter).toEqual({ a: '1/2' });
    expect(checked({ seed: 's', households: one, lots: [lot('l', 'stew', 0, 2)] }).containers).toEqual({ a: {} });
    expect(checked({ seed: 's', households: one, lots: [lot('l', 'stew', 3, 2)] }).owedAfter).toEqual({ a: '1/2' });
    expect(checked({ seed: 's', households: [], lots: [lot('l', 'stew', 3, 2)] }).unallotted).toEqual({ l: 3 });
  });

  it('leaves a dish that nobody may eat, and counts it for nobody', () => {
    const households = ['a', 'b'].map((id) => home(id, '1', { excludes: ['stew'] }));
    const output = checked({ seed: 's', households, lots: [lot('l', 'stew', 3, 2), lot('m', 'pie', 2, 2)] });
    expect(output.unallotted).toEqual({ l: 3 });
    expect(output.entitlement).toEqual({ a: '2', b: '2' });
    expect(output.short).toEqual({});
  });

  it('draws who gets the odd container anew with every seed', () => {
    const households = ['a', 'b', 'c'].map((id) => home(id, '1'));
    const first = new Set<string>();
    for (let round = 0; round < 20; round++) {
      first.add(canonicalJson(shareOut({ seed: `${round}`, households, lots: [lot('l', 'stew', 1, 2)] }).containers));
    }
    expect(first.size).toBe(3);
  });

  it('keeps owed fractions short over many rounds of changing weights', () => {
    let owed: Record<string, string> = {};
    for (let round = 1; round <= 300; round++) {
      const households = ['a', 'b', 'c'].map((id, i) =>
        home(id, `${1 + ((round * (i + 3)) % 97)}/${1 + (round % 89)}`, { owed: owed[id] ?? '0' }),
      );
      const output = shareOut({ seed: `${round}`, households, lots: [lot('l', 'stew', 7, 3), lot('m', 'pie', 5, 2)] });
      owed = output.owedAfter;
    }
    for (const value of Object.values(owed)) expect(value.length).toBeLessThan(60);
  });

  it.each([
    ['a negative weight', { seed: 's', households: [home('a', '-1')], lots: [] }, ['#/households/0/weight']],
    [
      'the same household twice',
      { seed: 's', households: [home('a', '1'), home('a', '1')], lots: [] },
      ['#/households/1/id'],
    ],
    ['no seed', { households: [], lots: [] }, ['#/seed']],
    ['half a container', { seed: 's', households: [], lots: [lot('l', 'd', 1.5, 2)] }, ['#/lots/0/containers']],
    ['containers of nothing', { seed: 's', households: [], lots: [lot('l', 'd', 1, 0)] }, ['#/lots/0/portions']],
    [
      'more held than there is',
      {
        seed: 's',
        households: [home('a', '1', { holds: { l: 1 } }), home('b', '1', { holds: { l: 1, x: 2 } })],
        lots: [lot('l', 'd', 1, 2)],
      },
      ['#/households/1/holds/l', '#/households/1/holds/x'],
    ],
    [
      'a freezer without sizes',
      { seed: 's', households: [home('a', '1', { freezerMl: 5 })], lots: [lot('l', 'd', 1, 2)] },
      ['#/lots/0/containerMl'],
    ],
  ])('refuses %s and says where', (_, input, expected) => {
    expect(pointers(input)).toEqual(expected);
  });
});

describe('explainShareOut', () => {
  it('gives the sum for a household that feels short-changed', () => {
    const input = readShareOut({
      seed: 's',
      households: [
        home('a', '7', { owed: '0.4', excludes: ['pie'], refuses: ['stew'] }),
        home('b', '24', { owed: '-0.4' }),
      ],
      lots: [lot('l', 'stew', 20, 4), lot('m', 'pie', 10, 4)],
    });
    const [ours] = explainShareOut(shareContainers(input), input);
    expect(ours).toMatchObject({ household: 'a', containers: 7, mayNotEat: ['pie'], dislikedButGiven: ['stew'] });
    const text = (value: { n: bigint; d: bigint } | undefined) => value && format(value);
    expect(text(ours?.totalWeight)).toBe('31');
    expect(text(ours?.totalPortions)).toBe('120');
    expect(text(ours?.weightShare)).toBe('840/31');
    expect(text(ours?.entitlement)).toBe('840/31');
    expect(text(ours?.owedBefore)).toBe('2/5');
    expect(text(ours?.target)).toBe('4262/155');
    expect(text(ours?.received)).toBe('28');
    expect(text(ours?.owedAfter)).toBe('-78/155');
    expect(text(ours?.largestContainer)).toBe('4');
    expect(ours?.dishes.map(({ dish, containers, portions }) => [dish, containers, format(portions)])).toEqual([
      ['stew', 7, '28'],
    ]);
  });
});
