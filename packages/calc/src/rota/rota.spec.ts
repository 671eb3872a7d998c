import { describe, expect, it } from '@jest/globals';
import { DomainError } from '../domain-error.ts';
import { format } from '../rational.ts';
import { explainRota } from './explain-rota.ts';
import { readRota } from './rota-input.ts';
import { planRota, rota } from './rota.ts';
import { verifyRota } from './verify-rota.ts';

const week = (n: number, more: object = {}) => ({
  id: `2026-W${String(n).padStart(2, '0')}`,
  team: 1,
  dishes: [],
  ...more,
});
const household = (id: string, more: object = {}) => ({ id, weight: '1', ...more });
const weeks = (count: number, more: object = {}) => Array.from({ length: count }, (_, i) => week(i + 1, more));

describe('rota', () => {
  it('gives turns by weight and what is owed, and carries the rest', () => {
    const result = rota({
      weeks: weeks(7),
      households: [household('a', { weight: '2', owedTurns: '1/2' }), household('b', { owedTurns: '-1/2' })],
    });
    // Of 7 turns a is due 14/3 + 1/2 = 31/6 and has 5, b is due 7/3 - 1/2 = 11/6 and has 2.
    expect(result.proof).toBe('optimal');
    expect(result.load).toEqual({
      a: { target: '31/6', given: 5, owedAfter: '1/6' },
      b: { target: '11/6', given: 2, owedAfter: '-1/6' },
    });
  });

  it('spreads turns evenly where one cooks and nothing else matters', () => {
    const { turns } = rota({ weeks: weeks(6), households: [household('a', { weight: '2' }), household('b')] });
    const order = turns.map((turn) => turn.household).join('');
    expect(['aba', 'aab', 'baa']).toContain(order.slice(0, 3));
    expect(order.slice(3)).toBe(order.slice(0, 3));
  });

  it('says in which week which limits collide, and what is cheapest to give up', () => {
    const skilled = { skills: ['curry'] };
    const input = {
      weeks: [week(5), week(6, { dishes: ['curry'] })],
      households: [
        household('a', { ...skilled, away: ['2026-W06'] }),
        household('b', { ...skilled, away: ['2026-W06'] }),
        household('c'),
      ],
    };
    const result = rota(input);
    expect(result.conflict).toEqual([
      { kind: 'skill', week: '2026-W06', dish: 'curry' },
      { kind: 'away', week: '2026-W06', household: 'a' },
      { kind: 'away', week: '2026-W06', household: 'b' },
    ]);
    expect(result.relax).toEqual([{ kind: 'skill', week: '2026-W06', dish: 'curry' }]);
    expect(verifyRota(input, result)).toEqual([]);
  });

  it('sees that nine households with four free weeks between turns are too few for two cooks a week', () => {
    const input = {
      weeks: weeks(5, { team: 2 }),
      households: Array.from({ length: 9 }, (_, i) => household(`h${i}`, { minGap: 4 })),
    };
    const result = rota(input);
    expect(result.proof).toBe('optimal');
    expect(result.relax).toHaveLength(1);
    expect(result.relax?.[0]?.kind).toBe('gap');
    expect(result.conflict?.filter(({ kind }) => kind === 'least')).toHaveLength(5);
  });

  it('keeps published turns, and says when somebody is now away', () => {
    const households = [household('a', { minGap: 1 }), household('b'), household('c', { away: ['2026-W02'] })];
    const kept = [{ week: '2026-W02', household: 'a' }];
    const result = rota({ weeks: weeks(3), households, kept });
    expect(result.turns[1]).toEqual(kept[0]);
    expect(result.turns.filter((turn) => turn.household === 'a')).toHaveLength(1);
    const away = rota({ weeks: weeks(3), households, kept: [{ week: '2026-W02', household: 'c' }] });
    expect(away.conflict).toEqual([
      { kind: 'kept', week: '2026-W02', household: 'c' },
      { kind: 'away', week: '2026-W02', household: 'c' },
    ]);
    expect(away.relax).toEqual([{ kind: 'kept', week: '2026-W02', household: 'c' }]);
  });

  it('borrows pots first, and has the pots of a team counted together', () => {
    const households = ['a', 'b', 'c'].map((id) => household(id, { potLitres: '8.5' }));
    expect(rota({ weeks: [week(1, { team: 2, litres: '17' })], households }).relax).toBeUndefined();
    const tooMuch = rota({ weeks: [week(1, { team: 2, litres: '17.001' })], households });
    expect(tooMuch.relax).toEqual([{ kind: 'pots', week: '2026-W01' }]);
    expect(tooMuch.conflict?.map(({ kind }) => kind)).toEqual(['most', 'pots']);
  });

  it('asks for a smaller team where too few households are there, and for a larger one where it must make more dishes', () => {
    const few = rota({ weeks: [week(1, { team: 3 })], households: [household('a'), household('b')] });
    expect(few.relax).toEqual([{ kind: 'least', week: '2026-W01', cooks: 2 }]);
    const dishes = ['x', 'y', 'z'];
    const cooks = dishes.map((dish) => household(dish, { skills: [dish] }));
    const many = rota({ weeks: [week(1, { dishes })], households: cooks });
    expect(many.relax).toEqual([
      { kind: 'skill', week: '2026-W01', dish: expect.any(String) },
      { kind: 'skill', week: '2026-W01', dish: expect.any(String) },
    ]);
  });

  it('answers where there is nothing: no weeks, no households, no weights', () => {
    expect(rota({ weeks: [], households: [household('a')] }).turns).toEqual([]);
    expect(rota({ weeks: weeks(1), households: [] })).toMatchObject({
      proof: 'optimal',
      relax: [{ kind: 'least', week: '2026-W01', cooks: 0 }],
    });
    const weightless = rota({
      weeks: weeks(2),
      households: [household('a', { weight: '0' }), household('b', { weight: '0' })],
    });
    expect(Object.values(weightless.load).map(({ given }) => given)).toEqual([1, 1]);
  });

  it('does not let carried fractions grow over a thousand rotas', () => {
    let owed: Record<string, string> = {};
    const weights = ['7/3', '11/5', '13/7', '17/11', '19/13'];
    for (let year = 0; year < 1000; year++) {
      const households = weights.map((_, i) => {
        const weight = weights[(i * (year + 1)) % 5] ?? '1';
        return household(`h${i}`, { weight, owedTurns: owed[`h${i}`] ?? '0' });
      });
      const { load } = rota({ weeks: weeks(2), households });
      owed = Object.fromEntries(Object.entries(load).map(([id, { owedAfter }]) => [id, owedAfter]));
    }
    for (const text of Object.values(owed)) expect(text.length).toBeLessThan(60);
  });

  it('explains a household its turns', () => {
    const input = readRota({
      weeks: [week(1), week(2, { dishes: ['pie'] }), week(3), week(4)],
      households: [household('a', { away: ['2026-W01'], skills: ['pie'], minGap: 2 }), household('b', { weight: '2' })],
    });
    const [a] = explainRota(planRota(input), input);
    expect(a && [format(a.weightShare), format(a.target), a.given, format(a.owedAfter)]).toEqual([
      '4/3',
      '4/3',
      1,
      '1/3',
    ]);
    expect(a).toMatchObject({ weeks: ['2026-W02'], awayWeeks: 1, mostTurns: 1, totalTurns: 4 });
    expect(a?.turnsForSkill).toEqual([{ week: '2026-W02', dish: 'pie' }]);
  });

  const turn = { week: '2026-W01', household: 'a' };
  const sound = { weeks: weeks(1), households: [household('a')] };
  it.each<[string, object, string]>([
    ['a team below nil', { weeks: [week(1, { team: -1 })] }, '#/weeks/0/team'],
    ['a team of half a household', { weeks: [week(1, { team: 1.5 })] }, '#/weeks/0/team'],
    ['a weight that is no number', { households: [household('a', { weight: 'NaN' })] }, '#/households/0/weight'],
    ['a weight below nil', { households: [household('a', { weight: '-1' })] }, '#/households/0/weight'],
    ['litres finer than a millilitre', { weeks: [week(1, { litres: '1/3' })] }, '#/weeks/0/litres'],
    ['a week twice', { weeks: [week(1), week(1)] }, '#/weeks/1/id'],
    ['a household twice', { households: [household('a'), household('a')] }, '#/households/1/id'],
    ['a kept turn in no week', { kept: [{ ...turn, week: 'x' }] }, '#/kept/0/week'],
    ['a kept turn of nobody', { kept: [{ ...turn, household: 'x' }] }, '#/kept/0/household'],
    ['a kept turn twice', { kept: [turn, turn] }, '#/kept/1/household'],
    ['more kept turns than cooks', { weeks: [week(1, { team: 0 })], kept: [turn] }, '#/kept/0/week'],
    ['a word that is not known', { team: 2 }, '#/team'],
  ])('refuses %s', (_, change, pointer) => {
    try {
      rota({ ...sound, ...change });
    } catch (error) {
      expect(error).toBeInstanceOf(DomainError);
      expect((error as DomainError).errors[0]?.pointer).toBe(pointer);
      return;
    }
    throw new Error('It was accepted.');
  });
});
