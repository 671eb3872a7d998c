import { describe, expect, it } from '@jest/globals';
import { DomainError } from '../domain-error.ts';
import { format } from '../rational.ts';
import type { JudgedTurns } from './judge-turns.ts';
import { judgeTurns, newlyBroken } from './judge-turns.ts';
import { readRota } from './rota-input.ts';

const turn = (week: string, household: string) => ({ week, household });
const shown = ({ load }: JudgedTurns) =>
  Object.fromEntries(
    [...load].map(([id, { target, given, owedAfter }]) => [id, [format(target), given, format(owedAfter)]]),
  );

// Judged by hand from the definitions of the limits; no search is asked.
describe('turns that were set by hand', () => {
  const input = readRota({
    weeks: [
      { id: 'W01', team: 2, litres: '10', dishes: ['curry'] },
      { id: 'W02', team: 1, dishes: [] },
      { id: 'W03', team: 1, dishes: [] },
    ],
    households: [
      { id: 'a', weight: '2', potLitres: '6', minGap: 1 },
      { id: 'b', weight: '1', potLitres: '3', skills: ['curry'], away: ['W02'] },
      { id: 'c', weight: '0', potLitres: '4', owedTurns: '1' },
    ],
    kept: [turn('W03', 'c')],
  });

  it('break each limit that they do not keep, in time, and leave each household what it was due less what it cooks', () => {
    const judged = judgeTurns(input, [turn('W01', 'a'), turn('W02', 'a'), turn('W02', 'b'), turn('W03', 'b')]);
    expect(judged.broken).toEqual([
      { kind: 'least', week: 'W01', cooks: 1 },
      { kind: 'skill', week: 'W01', dish: 'curry' },
      { kind: 'pots', week: 'W01' },
      { kind: 'most', week: 'W02', cooks: 2 },
      { kind: 'gap', week: 'W02', household: 'a' },
      { kind: 'away', week: 'W02', household: 'b' },
      { kind: 'kept', week: 'W03', household: 'c' },
    ]);
    // Of 4 turns a is due 4 x 2/3 = 8/3 and b 4 x 1/3; c has no weight and owes one turn from before.
    expect(shown(judged)).toEqual({ a: ['8/3', 2, '2/3'], b: ['4/3', 2, '-2/3'], c: ['1', 0, '1'] });
  });

  it('break nothing when teams, dishes, pots, gaps and kept turns are right', () => {
    const roomy = readRota({
      weeks: [
        { id: 'W01', team: 2, litres: '9', dishes: ['curry'] },
        { id: 'W02', team: 1, dishes: [] },
      ],
      households: [
        { id: 'a', weight: '2', potLitres: '6', minGap: 1 },
        { id: 'b', weight: '1', potLitres: '3', skills: ['curry'], away: ['W02'] },
        { id: 'c', weight: '1', owedTurns: '-1/4' },
      ],
      kept: [turn('W02', 'c')],
    });
    const judged = judgeTurns(roomy, [turn('W02', 'c'), turn('W01', 'b'), turn('W01', 'a')]);
    expect(judged.broken).toEqual([]);
    // 3 turns by 2 : 1 : 1; c cooked a quarter more before.
    expect(shown(judged)).toEqual({ a: ['3/2', 1, '1/2'], b: ['3/4', 1, '-1/4'], c: ['1/2', 1, '-1/2'] });
  });

  it('name a team that is two too small once, with the number that cooks, and nobody at all as nought', () => {
    const three = readRota({
      weeks: [
        { id: 'W01', team: 3, dishes: [] },
        { id: 'W02', team: 3, dishes: [] },
        { id: 'W03', team: 0, dishes: [] },
      ],
      households: ['a', 'b', 'c'].map((id) => ({ id, weight: '1' })),
    });
    expect(judgeTurns(three, [turn('W01', 'a'), turn('W03', 'a'), turn('W03', 'b')]).broken).toEqual([
      { kind: 'least', week: 'W01', cooks: 1 },
      { kind: 'least', week: 'W02', cooks: 0 },
      { kind: 'most', week: 'W03', cooks: 2 },
    ]);
  });

  it.each([
    [0, 'W02', []],
    [1, 'W02', ['W02']],
    [1, 'W03', []],
    [2, 'W03', ['W03']],
    [2, 'W04', []],
    [3, 'W04', ['W04']],
  ])('with %i weeks between two turns, a turn in W01 and one in %s break the gap of %j', (minGap, second, weeks) => {
    const four = readRota({
      weeks: ['W01', 'W02', 'W03', 'W04'].map((id) => ({ id, team: 1, dishes: [] })),
      households: [
        { id: 'a', weight: '1', minGap },
        { id: 'b', weight: '1' },
      ],
    });
    const { broken } = judgeTurns(four, [turn('W01', 'a'), turn(second, 'a')]);
    expect(broken.filter(({ kind }) => kind === 'gap')).toEqual(
      weeks.map((week) => ({ kind: 'gap', week, household: 'a' })),
    );
  });

  it('are refused with every fault where a week or a household is unknown or a turn is given twice', () => {
    let refused: unknown;
    try {
      judgeTurns(input, [turn('W09', 'a'), turn('W01', 'z'), turn('W01', 'a'), turn('W01', 'a')]);
    } catch (error) {
      refused = error;
    }
    expect(refused).toBeInstanceOf(DomainError);
    expect(refused).toMatchObject({
      code: 'invalid-input',
      errors: [{ pointer: '#/turns/0/week' }, { pointer: '#/turns/1/household' }, { pointer: '#/turns/3/household' }],
    });
  });

  it('cost, when they replace others, only the limits that were kept before', () => {
    const before = [turn('W01', 'a'), turn('W01', 'c'), turn('W02', 'b'), turn('W03', 'c')];
    expect(judgeTurns(input, before).broken.map(({ kind }) => kind)).toEqual(['skill', 'away']);
    // b makes the curry now, but a cooks two weeks running and the pots hold 9 litres less 2.
    const after = [turn('W01', 'b'), turn('W01', 'c'), turn('W02', 'b'), turn('W03', 'c')];
    expect(newlyBroken(input, before, after)).toEqual([{ kind: 'pots', week: 'W01' }]);
    expect(newlyBroken(input, before, before)).toEqual([]);
    // A team that shrinks further is a new limit, since it is named with the number that cooks.
    expect(newlyBroken(input, before.slice(1), before.slice(2))).toEqual([{ kind: 'least', week: 'W01', cooks: 0 }]);
  });
});
