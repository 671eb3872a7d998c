import { describe, expect, it } from '@jest/globals';
import { reachedBy, recallCounts, recallFate, worstFirst } from './recall-report.ts';

// Our own rules (ADR 60); no published source says how a cooperative of neighbours counts.
describe('the report of a recall', () => {
  it('takes the answer before the state, and the state where there is none', () => {
    expect(recallFate({ answer: 'set-apart', state: 'eaten' })).toBe('set-apart');
    expect(recallFate({ answer: 'not-found', state: 'recalled' })).toBe('not-found');
    expect(
      ['sealed', 'recalled', 'eaten', 'thrown-away', 'lost'].map((state) => recallFate({ answer: null, state })),
    ).toEqual([...['none', 'none', 'eaten', 'gone', 'gone']]);
  });

  it('counts every container once', () => {
    const fates = ['set-apart', 'set-apart', 'eaten', 'given-away', 'not-found', 'gone', 'none'] as const;
    const { all, portions, ...parts } = recallCounts(fates.map((fate, index) => ({ fate, portions: index })));
    expect(parts).toEqual({ setApart: 2, eaten: 1, givenAway: 1, notFound: 1, gone: 1, none: 1 });
    expect([all, portions]).toEqual([7, 21]);
    expect(Object.values(parts).reduce((sum, n) => sum + n)).toBe(all);
  });

  it('puts first who is not reached', () => {
    const households = [
      { name: 'Answered', ...{ none: 0, seen: false, mailed: false } },
      { name: 'Seen', ...{ none: 2, seen: true, mailed: true } },
      { name: 'Told', ...{ none: 1, seen: false, mailed: true } },
      { name: 'Zelkova', ...{ none: 1, seen: false, mailed: false } },
      { name: 'Elm', ...{ none: 1, seen: false, mailed: false } },
    ];
    const rows = households.map(({ name, ...facts }) => ({ name, state: reachedBy(facts) }));
    expect(rows.sort(worstFirst).map(({ name, state }) => `${name} ${state}`)).toEqual([
      ...['Elm not-reached', 'Zelkova not-reached', 'Told told', 'Seen seen', 'Answered answered'],
    ]);
  });
});
