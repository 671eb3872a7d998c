import type { Rational } from '../rational.ts';
import { cmp, format, parse, rational } from '../rational.ts';

/** A step of a recipe as a kitchen does it; `after` null: it waits for the step before it. */
export interface KitchenStep {
  activeMinutes: number;
  passiveMinutes: number;
  place: 'table' | 'hob' | 'oven' | 'cooling';
  hands: number;
  potLitres: string | null;
  after: readonly number[] | null;
  /** what the recipes inside give goes in here */
  base: boolean;
  thawKilograms: string | null;
}

/** One making of one recipe on the day; `bases` are the makings whose food goes into it. */
export interface Making {
  key: string;
  potLitres: string | null;
  steps: readonly KitchenStep[];
  bases: readonly string[];
}

export interface DayKitchen {
  people: number;
  hobs: number;
  ovens: number;
  /** litres of each pot; none: pots are not looked at */
  pots: readonly string[];
}

/** What the kitchen lacks for a step: it is planned without it, or with the most that there is. */
export interface KitchenLack {
  code: 'no-oven' | 'no-hob' | 'pot-too-small' | 'too-few-hands';
  making: string;
  step: string;
  needed: string;
  there: string;
}

interface DayStep {
  id: string;
  active: number;
  passive: number;
  people: number;
  hobs: number;
  ovens: number;
  potLitres?: string;
  after: string[];
}

/** The input of `runSheet`, less its times. */
export interface DaySteps {
  people: number;
  hobs: number;
  ovens: number;
  pots: { id: string; litres: string }[];
  steps: DayStep[];
  leads: { id: string; thaw: { quantity: string; unit: string }; before: string }[];
}

export const stepKeyOf = (making: string, step: number): string => `${making}.${step}`;

const takesTime = ({ activeMinutes, passiveMinutes }: KitchenStep): boolean => activeMinutes + passiveMinutes > 0;
const isPositive = (text: string | null): text is string => text !== null && cmp(parse(text), rational(0n)) > 0;

/** Places of the steps that must have ended before a step, those that take no time passed through to what they wait for. */
function waitsFor(steps: readonly KitchenStep[], step: number): number[] {
  const named = steps[step]?.after ?? (step > 0 ? [step - 1] : []);
  return [
    ...new Set(
      named.flatMap((earlier) => {
        const other = steps[earlier];
        if (!other || earlier >= step) return [];
        return takesTime(other) ? [earlier] : waitsFor(steps, earlier);
      }),
    ),
  ];
}

/** The last steps of a making before its food only cools: what is cooked from it may go on from there. */
function givesAt({ steps }: Making): number[] {
  const hot = steps.flatMap((step, index) => (step.place !== 'cooling' && takesTime(step) ? [index] : []));
  const waited = new Set(hot.flatMap((index) => waitsFor(steps, index)));
  return hot.filter((index) => !waited.has(index));
}

/** The steps into which the bases go: those that say so, else those that wait for none. */
function takesBaseAt({ steps }: Making): Set<number> {
  const said = steps.flatMap(({ base }, index) => (base ? [index] : []));
  const first = steps.flatMap((step, index) => (takesTime(step) && waitsFor(steps, index).length === 0 ? [index] : []));
  return new Set(said.length > 0 ? said : first);
}

function largestOf(pots: readonly string[]): Rational | undefined {
  return pots
    .map((litres) => parse(litres))
    .reduce<Rational | undefined>((most, litres) => (most && cmp(most, litres) >= 0 ? most : litres), undefined);
}

/**
 * The day's work as the input of `runSheet`, from what is made and what the kitchen has. A step waits for the step before it unless it says otherwise; a step on the
 * hob takes one hob and, where pots are known, a pot of its own litres or the recipe's; steps that take no time are left out. A dish goes on from its bases once they are
 * cooked, not once they are cold (our decision, ADR 50). What the kitchen lacks is planned without it and named in `lacks`.
 */
export function daySteps(kitchen: DayKitchen, makings: readonly Making[]): { day: DaySteps; lacks: KitchenLack[] } {
  const lacks: KitchenLack[] = [];
  const largest = largestOf(kitchen.pots);
  const byKey = new Map(makings.map((making) => [making.key, making]));
  const stepOf = (making: Making, step: KitchenStep, index: number): DayStep => {
    const id = stepKeyOf(making.key, index);
    const lack = (code: KitchenLack['code'], needed: string, there: string): void => {
      lacks.push({ code, making: making.key, step: id, needed, there });
    };
    const isHob = step.place === 'hob';
    if (isHob && kitchen.hobs === 0) lack('no-hob', '1', '0');
    if (step.place === 'oven' && kitchen.ovens === 0) lack('no-oven', '1', '0');
    if (step.hands > kitchen.people) lack('too-few-hands', String(step.hands), String(kitchen.people));
    const litres = step.potLitres ?? (isHob ? making.potLitres : null);
    let pot: string | undefined;
    if (largest && isPositive(litres)) {
      const isTooLarge = cmp(parse(litres), largest) > 0;
      if (isTooLarge) lack('pot-too-small', litres, format(largest));
      pot = isTooLarge ? format(largest) : litres;
    }
    const bases = takesBaseAt(making).has(index) ? making.bases : [];
    const after = [
      ...waitsFor(making.steps, index).map((earlier) => stepKeyOf(making.key, earlier)),
      ...bases.flatMap((key) => {
        const base = byKey.get(key);
        return base ? givesAt(base).map((earlier) => stepKeyOf(key, earlier)) : [];
      }),
    ];
    return {
      id,
      active: step.activeMinutes,
      passive: step.passiveMinutes,
      people: step.activeMinutes > 0 ? Math.min(step.hands, kitchen.people) : 1,
      hobs: isHob ? Math.min(1, kitchen.hobs) : 0,
      ovens: step.place === 'oven' ? Math.min(1, kitchen.ovens) : 0,
      ...(pot === undefined ? {} : { potLitres: pot }),
      after,
    };
  };
  const timed = makings.flatMap((making) =>
    making.steps.flatMap((step, index) => (takesTime(step) ? [{ making, step, index }] : [])),
  );
  return {
    day: {
      people: kitchen.people,
      hobs: kitchen.hobs,
      ovens: kitchen.ovens,
      pots: kitchen.pots.map((litres, index) => ({ id: `${index + 1}`, litres })),
      steps: timed.map(({ making, step, index }) => stepOf(making, step, index)),
      leads: timed.flatMap(({ making, step: { thawKilograms }, index }) => {
        const id = stepKeyOf(making.key, index);
        return isPositive(thawKilograms) ? [{ id, thaw: { quantity: thawKilograms, unit: 'kg' }, before: id }] : [];
      }),
    },
    lacks,
  };
}
