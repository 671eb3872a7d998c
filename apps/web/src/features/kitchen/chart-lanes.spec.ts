import { describe, expect, it } from '@jest/globals';
import { hoursBetween, lanesOf } from './chart-lanes.ts';
import type { RunStepNow } from './day-now.ts';

function step(key: string, start: number, handsOff: number, end: number, more: Partial<RunStepNow> = {}): RunStepNow {
  return {
    key,
    making: 'm',
    number: 1,
    words: key,
    dish: 'Pie',
    place: 'table',
    active: handsOff - start,
    passive: end - handsOff,
    ...{ start, handsOff, end, people: [1], hobs: [], ovens: [], potLitres: null, pot: null, after: [] },
    now: { key, state: 'waiting', start, handsOff, end },
    ...more,
  };
}

describe('the lanes of the chart', () => {
  it('show hands, then pots, hobs without a known pot, ovens, what rests and what cools', () => {
    const lanes = lanesOf(
      [
        step('simmer', 0, 10, 60, { place: 'hob', hobs: [1], pot: '2', potLitres: '8' }),
        step('boil', 10, 20, 40, { place: 'hob', hobs: [2] }),
        step('bake', 20, 25, 55, { place: 'oven', ovens: [1] }),
        step('rest', 25, 30, 50),
        step('cool', 60, 65, 155, { place: 'cooling' }),
      ],
      2,
    );
    expect(lanes.map(({ kind, number, litres, bars }) => [kind, number, litres, bars.map(({ key }) => key)])).toEqual([
      ['person', 1, null, ['simmer', 'boil', 'bake', 'rest', 'cool']],
      ['person', 2, null, []],
      ['pot', 2, '8', ['simmer']],
      ['hob', 2, null, ['boil']],
      ['oven', 1, null, ['bake']],
      ['rest', 1, null, ['rest']],
      ['cooling', 1, null, ['cool']],
    ]);
    expect(lanes.at(-1)?.bars).toMatchObject([{ from: 65, until: 155, form: 'cooling' }]);
  });

  it('put what cools at the same time side by side', () => {
    const cool = (key: string, from: number, until: number) => step(key, from, from, until, { place: 'cooling' });
    const lanes = lanesOf([cool('a', 0, 90), cool('b', 30, 60), cool('c', 60, 80)], 1);
    expect(lanes.filter(({ kind }) => kind === 'cooling').map(({ bars }) => bars.map(({ key }) => key))).toEqual([
      ['a'],
      ['b', 'c'],
    ]);
  });

  it('have their hours on the clock', () => {
    expect(hoursBetween(0, 180, 30)).toEqual([30, 90, 150]);
    expect(hoursBetween(90, 240, 0, 30)).toEqual([90, 120, 150, 180, 210, 240]);
    expect(hoursBetween(0, 20, 30)).toEqual([]);
  });
});
