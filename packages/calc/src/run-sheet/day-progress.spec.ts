import { describe, expect, it } from '@jest/globals';
import type { PlanStep } from './day-progress.ts';
import { dayNow } from './day-progress.ts';

// Worked by hand; that everything after a delay moves with its order kept is our decision, ADR 50.

const step = (key: string, start: number, active: number, passive: number, more: Partial<PlanStep> = {}): PlanStep => ({
  key,
  active,
  passive,
  start,
  end: start + active + passive,
  people: active > 0 ? ['person 1'] : [],
  things: [],
  after: [],
  ...more,
});

/** One person: chop, then a sauce that simmers on the only hob, then a rice on the same hob; a dough that rests beside it. */
const plan = [
  step('chop', 0, 30, 0),
  step('sauce', 30, 10, 50, { things: ['hob 1'], after: ['chop'] }),
  step('dough', 40, 20, 0),
  step('rest', 60, 0, 45, { after: ['dough'] }),
  step('rice', 90, 5, 15, { things: ['hob 1'] }),
];
const times = (done: [string, number][], now: number) =>
  Object.fromEntries(dayNow(plan, new Map(done), now).steps.map(({ key, ...rest }) => [key, Object.values(rest)]));

describe('a day that goes on', () => {
  it('is as planned before it begins', () => {
    const { steps, end, late } = dayNow(plan, new Map(), -60);
    expect(steps.map(({ start }) => start)).toEqual(plan.map(({ start }) => start));
    expect([end, late, new Set(steps.map(({ state }) => state))]).toEqual([110, 0, new Set(['waiting'])]);
  });

  it('moves everything after a step that takes longer', () => {
    expect(times([], 50)).toEqual({
      chop: ['under-way', 0, 50, 50],
      sauce: ['under-way', 50, 60, 110],
      dough: ['waiting', 60, 80, 80],
      rest: ['waiting', 80, 80, 125],
      rice: ['waiting', 110, 115, 130],
    });
    expect(dayNow(plan, new Map(), 50)).toMatchObject({ end: 130, late: 20 });
  });

  it('keeps the times of what is done, and what goes on by itself goes on from then', () => {
    expect(times([['chop', 35], ['sauce', 50]], 60)).toEqual({
      chop: ['done', 5, 35, 35],
      sauce: ['on-its-own', 40, 50, 100],
      dough: ['under-way', 50, 70, 70],
      rest: ['waiting', 70, 70, 115],
      rice: ['waiting', 100, 105, 120],
    }); // prettier-ignore
  });

  it('catches up when a step takes less', () => {
    expect(dayNow(plan, new Map([['chop', 20]]), 20)).toMatchObject({ end: 100, late: -10 });
  });

  it('lets a step without active minutes begin and end by itself', () => {
    const done = [['chop', 30], ['sauce', 40], ['dough', 60]] as [string, number][]; // prettier-ignore
    expect(times(done, 70)['rest']).toEqual(['on-its-own', 60, 60, 105]);
    expect(times(done, 105)['rest']).toEqual(['done', 60, 60, 105]);
  });

  it('takes a step that was done before its turn, or before the day began', () => {
    expect(times([['dough', 25]], 30)['dough']).toEqual(['done', 25, 25, 25]);
    expect(times([['chop', -10]], -5)['chop']).toEqual(['done', -10, -10, -10]);
  });
});
