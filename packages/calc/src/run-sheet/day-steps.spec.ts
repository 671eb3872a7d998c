import { describe, expect, it } from '@jest/globals';
import type { DayKitchen, KitchenStep, Making } from './day-steps.ts';
import { daySteps } from './day-steps.ts';
import { runSheet } from './run-sheet.ts';

const kitchen: DayKitchen = { people: 2, hobs: 2, ovens: 1, pots: ['5', '10'] };
const step = (more: Partial<KitchenStep> = {}): KitchenStep => ({
  activeMinutes: 10,
  passiveMinutes: 0,
  place: 'table',
  hands: 1,
  potLitres: null,
  after: null,
  base: false,
  thawKilograms: null,
  ...more,
});
const making = (key: string, steps: KitchenStep[], more: Partial<Making> = {}): Making => ({
  key,
  potLitres: null,
  steps,
  bases: [],
  ...more,
});
const afterOf = (makings: Making[], at = kitchen) =>
  Object.fromEntries(daySteps(at, makings).day.steps.map(({ id, after }) => [id, after]));

describe('the steps of a day', () => {
  it('wait for the step before them unless they say otherwise', () => {
    expect(afterOf([making('a', [step(), step(), step({ after: [] }), step({ after: [0, 2] })])])).toEqual({
      'a.0': [],
      'a.1': ['a.0'],
      'a.2': [],
      'a.3': ['a.0', 'a.2'],
    });
  });

  it('leave out those that take no time, and wait for what those waited for', () => {
    const words = step({ activeMinutes: 0 });
    expect(afterOf([making('a', [step(), words, words, step()])])).toEqual({ 'a.0': [], 'a.3': ['a.0'] });
  });

  it('wait for a base once it is cooked, not once it is cold', () => {
    const base = making('base', [step(), step({ place: 'hob' }), step({ place: 'cooling', passiveMinutes: 90 })]);
    const first = making('dish', [step(), step()], { bases: ['base'] });
    expect(afterOf([base, first])).toMatchObject({ 'dish.0': ['base.1'], 'dish.1': ['dish.0'] });
    const said = making('dish', [step(), step({ base: true })], { bases: ['base'] });
    expect(afterOf([base, said])).toMatchObject({ 'dish.0': [], 'dish.1': ['dish.0', 'base.1'] });
  });

  it('take a hob with a pot as large as the recipe says, or as the step says', () => {
    const steps = [step({ place: 'hob' }), step({ place: 'hob', potLitres: '5' }), step({ potLitres: '3' }), step()];
    const { day, lacks } = daySteps(kitchen, [making('a', steps, { potLitres: '8' })]);
    expect(day.steps.map(({ hobs, potLitres }) => [hobs, potLitres])).toEqual([[1, '8'], [1, '5'], [0, '3'], [0, undefined]]); // prettier-ignore
    expect(lacks).toEqual([]);
    expect(
      daySteps({ ...kitchen, pots: [] }, [making('a', steps, { potLitres: '80' })]).day.steps[0]?.potLitres,
    ).toBeUndefined();
  });

  it('name what the kitchen lacks and are planned with what there is', () => {
    const steps = [step({ place: 'oven' }), step({ place: 'hob', hands: 2 }), step({ potLitres: '25/2' })];
    const bare = { people: 1, hobs: 0, ovens: 0, pots: ['10'] };
    const { day, lacks } = daySteps(bare, [making('a', steps)]);
    expect(lacks.map(({ code, step: id, needed, there }) => [code, id, needed, there])).toEqual([
      ['no-oven', 'a.0', '1', '0'],
      ['no-hob', 'a.1', '1', '0'],
      ['too-few-hands', 'a.1', '2', '1'],
      ['pot-too-small', 'a.2', '25/2', '10'],
    ]);
    expect(runSheet(day)).toMatchObject({ proof: 'optimal', minutes: 30 });
  });

  it('thaw before the step that says so', () => {
    const { day } = daySteps(kitchen, [making('a', [step(), step({ thawKilograms: '2.27' })])]);
    // USDA FSIS: 24 hours in the refrigerator for 5 lb (2.27 kg).
    expect(runSheet(day).leads).toEqual([{ id: 'a.1', start: 10 - 1440, end: 10 }]);
  });
});
