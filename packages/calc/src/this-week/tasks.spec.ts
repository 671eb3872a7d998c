import { describe, expect, it } from '@jest/globals';
import type { OpenRound, WeekFacts } from './tasks.ts';
import { tasksOf } from './tasks.ts';

const none = { containers: 0, portions: 0 };
const round: OpenRound = {
  id: 'r14',
  number: 14,
  stage: 'planning',
  planUntil: '2026-11-24',
  buyOn: '2026-11-26',
  cookOn: '2026-11-28',
  shareOn: '2026-11-29',
  swapUntil: '2026-12-02',
  settleOn: '2026-12-04',
  batchesOpen: 4,
  shareOutConfirmed: false,
  held: none,
  claimed: none,
  cookDays: [],
};
const week: WeekFacts = {
  today: '2026-11-25',
  coordinator: false,
  buyer: false,
  rounds: [round],
  swaps: [],
  turnSwaps: [],
  rings: [],
  kept: [],
  payments: [],
  stock: [],
};
const kinds = (facts: Partial<WeekFacts>) => tasksOf({ ...week, ...facts }).map(({ kind }) => kind);
const at = (stage: OpenRound['stage'], more: Partial<OpenRound> = {}) => [{ ...round, stage, ...more }];

describe('what a household must do next', () => {
  it('gives each role what the stage asks of it', () => {
    expect(kinds({})).toEqual([]);
    expect(kinds({ coordinator: true })).toEqual(['plan']);
    expect(kinds({ buyer: true, rounds: at('buying') })).toEqual(['buy']);
    expect(kinds({ coordinator: true, rounds: at('cooking') })).toEqual([]);
    expect(kinds({ coordinator: true, rounds: at('sharing') })).toEqual(['confirm-share-out']);
    expect(kinds({ coordinator: true, rounds: at('sharing', { shareOutConfirmed: true }) })).toEqual(['settle']);
    expect(kinds({ coordinator: true, rounds: at('settled') })).toEqual([]);
  });

  it('says that a task whose day has passed is late, and not on the day itself', () => {
    const [plan] = tasksOf({ ...week, coordinator: true });
    expect(plan).toMatchObject({ due: '2026-11-24', late: true, path: '/rounds/r14/plan', facts: { round: 14 } });
    expect(tasksOf({ ...week, coordinator: true, today: '2026-11-24' })[0]?.late).toBe(false);
  });

  it('names a turn to cook ahead, and until every batch has its yield', () => {
    const cookDays = [{ date: '2026-11-28', startsAt: '09:00', kitchen: 'Alder' }];
    expect(kinds({ rounds: at('planning', { cookDays }) })).toEqual(['cook']);
    expect(kinds({ rounds: at('planning', { cookDays }), today: '2026-11-29' })).toEqual([]);
    expect(kinds({ rounds: at('cooking', { cookDays }), today: '2026-11-29' })).toEqual(['cook']);
    expect(kinds({ rounds: at('cooking', { cookDays, batchesOpen: 0 }) })).toEqual([]);
    expect(kinds({ rounds: at('sharing', { cookDays, batchesOpen: 0 }) })).toEqual([]);
  });

  it('asks to claim what is set aside and to collect what was claimed, while the round is shared out', () => {
    const held = { containers: 3, portions: 9 };
    const [claim, collect] = tasksOf({ ...week, rounds: at('sharing', { held, claimed: { ...none, containers: 1 } }) });
    expect(claim).toMatchObject({ kind: 'claim', due: '2026-12-02', facts: { containers: 3, portions: 9 } });
    expect(collect).toMatchObject({ kind: 'collect', facts: { containers: 1 } });
    expect(kinds({ rounds: at('settled', { held }) })).toEqual([]);
  });

  it('puts the earliest first, what has no date last, and one dish of one day into one line', () => {
    const stock = [
      { code: 'R12-A1-1', dish: 'Lentil stew', bestBefore: '2026-12-01' },
      { code: 'R12-A1-2', dish: 'Lentil stew', bestBefore: '2026-12-01' },
      { code: 'R12-B1-1', dish: 'Filled pastries', bestBefore: '2027-03-01' },
    ];
    const tasks = tasksOf({
      ...week,
      swaps: [{ id: 's1', from: 'Birch', openUntil: '2026-11-27' }],
      payments: [{ to: 'Cedar', amountMinor: '1250' }],
      stock,
    });
    expect(tasks.map(({ kind, due }) => [kind, due])).toEqual([
      ['answer-swap', '2026-11-27'],
      ['use-first', '2026-12-01'],
      ['pay', null],
    ]);
    expect(
      tasksOf({
        ...week,
        turnSwaps: [{ id: 't1', from: 'Birch', openUntil: '2026-11-27', gives: '2026-12-07', gets: '2026-12-14' }],
      }),
    ).toMatchObject([
      {
        kind: 'answer-turn-swap',
        due: '2026-11-27',
        path: '/turns?swap=t1',
        facts: { from: 'Birch', gets: '2026-12-14' },
      },
    ]);
    expect(tasks[1]?.facts).toEqual({ dish: 'Lentil stew', containers: 2, code: 'R12-A1-1' });
  });
});
