import { describe, expect, it } from '@jest/globals';
import { countTurns, datesOf, isPlanned, missingCooks, shapeOf, turnOf } from './board-weeks.ts';
import type { Week } from './this-week-query.ts';

const named = (name: string) => ({ id: name.toLowerCase(), name });
const day = (date: string, turns: [string, string][]): Week['cookDays'][number] => ({
  id: date,
  date,
  startsAt: '09:00',
  kitchen: named('Alder'),
  roundNumber: 4,
  turns: turns.map(([name, state]) => ({ household: named(name), state })),
});
const week = (weekOf: string, ...cookDays: Week['cookDays']): Week => ({
  weekOf,
  cookDays,
  turns: [],
  noCooking: false,
});
const rotaTurn = (name: string | null, state: Week['turns'][number]['state'], cookDayId: string | null = null) => ({
  id: 't1',
  household: name === null ? null : named(name),
  state,
  cookDayId,
  version: 1,
});

const weeks = [
  week(
    '2026-11-23',
    day('2026-11-28', [
      ['Alder', 'published'],
      ['Birch', 'planned'],
    ]),
  ),
  week('2026-11-30', day('2026-12-05', [])),
  week('2026-12-07'),
  week('2026-12-14', day('2026-12-19', [['Alder', 'planned']]), day('2026-12-20', [['Alder', 'done']])),
];

describe('the board of weeks', () => {
  it('draws a planned turn as one that may still change, and a covered one like a published one', () => {
    expect(['planned', 'published', 'swapped', 'covered', 'done'].map(shapeOf)).toEqual([
      'setAside',
      'taken',
      'taken',
      'taken',
      'done',
    ]);
  });

  it('shows the surest of several turns in one week, and nothing for who has none', () => {
    expect(weeks.map((each) => turnOf(each, 'alder'))).toEqual(['taken', null, null, 'done']);
    expect(weeks.map((each) => turnOf(each, 'birch'))).toEqual(['setAside', null, null, null]);
  });

  it('names days that nobody is down for, and not weeks without a cook day', () => {
    expect(missingCooks(weeks)).toEqual([{ date: '2026-12-05', turn: null, roundNumber: 4, cooks: [] }]);
  });

  it('shows turns of the rota in a week that has no cook day yet, and names the one that nobody has', () => {
    const ahead = { ...week('2026-12-28'), turns: [rotaTurn('Birch', 'planned'), rotaTurn(null, 'open')] };
    expect(turnOf(ahead, 'birch')).toBe('setAside');
    expect(isPlanned(ahead)).toBe(true);
    expect(missingCooks([ahead])).toEqual([
      { date: '2026-12-28', turn: rotaTurn(null, 'open'), roundNumber: null, cooks: ['birch'] },
    ]);
  });

  it('counts a turn once when its cook day has it, and an open one of a day on that day', () => {
    const both = { ...week('2026-11-30', day('2026-12-05', [])), turns: [rotaTurn(null, 'open', '2026-12-05')] };
    expect(missingCooks([both]).map(({ date, turn }) => [date, turn?.id])).toEqual([['2026-12-05', 't1']]);
    const taken = {
      ...week('2026-11-30', day('2026-12-05', [['Alder', 'covered']])),
      turns: [rotaTurn('Alder', 'covered', '2026-12-05')],
    };
    expect(countTurns([taken], [{ id: 'alder', weight: '1' }]).get('alder')?.given).toBe(1);
  });

  it('heads a week by its cook days, or by its Monday where it has none', () => {
    expect(weeks.map(datesOf)).toEqual([['2026-11-28'], ['2026-12-05'], ['2026-12-07'], ['2026-12-19', '2026-12-20']]);
  });

  it('counts turns and the fair number by weight, and the fair numbers sum to the turns', () => {
    const counts = countTurns(weeks, [
      { id: 'alder', weight: '2' },
      { id: 'birch', weight: '3/2' },
      { id: 'cedar', weight: '5/2' },
    ]);
    expect(counts.get('alder')).toEqual({ given: 3, fair: '4/3' });
    expect(counts.get('birch')).toEqual({ given: 1, fair: '1' });
    expect(counts.get('cedar')).toEqual({ given: 0, fair: '5/3' });
  });

  it('has no fair number while nobody counts for anything', () => {
    expect(countTurns(weeks, [{ id: 'alder', weight: '0' }]).get('alder')).toEqual({ given: 3, fair: null });
  });
});
