import { dayNow, type DayNow, type PlanStep, type StepNow } from '@frostmoot/calc';
import type { RunSheet, RunStep } from './run-sheet-query.ts';

const MS_PER_MINUTE = 60_000;
/** Longer after its start a day is over, whatever was ticked off. */
const LONGEST_DAY_MINUTES = 1440;

export interface RunStepNow extends RunStep {
  now: StepNow;
  /** the making's name */
  dish: string;
}

export interface Day {
  steps: RunStepNow[];
  now: DayNow;
  minute: number;
  isOver: boolean;
  at: (minute: number) => string;
}

const planOf = (step: RunStep): PlanStep => ({
  key: step.key,
  active: step.active,
  passive: step.passive,
  start: step.start,
  end: step.end,
  people: step.people.map((number) => `person ${number}`),
  things: [
    ...step.hobs.map((number) => `hob ${number}`),
    ...step.ovens.map((number) => `oven ${number}`),
    ...(step.pot === null ? [] : [`pot ${step.pot}`]),
  ],
  after: step.after,
});

/** How the day stands on this device: the sheet with its done steps, at this moment. */
export function dayOf(sheet: RunSheet, now: string): Day | null {
  if (!sheet.sheet) return null;
  const startsAt = Date.parse(sheet.startsAt);
  const minute = Math.floor((Date.parse(now) - startsAt) / MS_PER_MINUTE);
  const isOver = minute > sheet.sheet.minutes + LONGEST_DAY_MINUTES;
  const done = new Map(sheet.done.map(({ key, at }) => [key, Math.floor((Date.parse(at) - startsAt) / MS_PER_MINUTE)]));
  const standing = dayNow(sheet.sheet.steps.map(planOf), done, isOver ? -1 : minute);
  const byKey = new Map(standing.steps.map((step) => [step.key, step]));
  const names = new Map(sheet.makings.map(({ key, name }) => [key, name]));
  const steps = sheet.sheet.steps.flatMap((step) => {
    const stepNow = byKey.get(step.key);
    return stepNow ? [{ ...step, now: stepNow, dish: names.get(step.making) ?? '' }] : [];
  });
  return {
    steps,
    now: standing,
    minute,
    isOver,
    at: (each) => new Date(startsAt + each * MS_PER_MINUTE).toISOString(),
  };
}

export const areHandsOff = ({ now }: RunStepNow): boolean => now.state === 'done' || now.state === 'on-its-own';

/** The steps that a person has hands on, in order; without a number those of everybody. */
export const stepsOfPerson = ({ steps }: Day, person: number | null): RunStepNow[] =>
  steps.filter(({ active, people }) => active > 0 && (person === null || people.includes(person)));

/** What this person does now or next. */
export const myStep = (day: Day, person: number | null): RunStepNow | undefined =>
  stepsOfPerson(day, person).find((step) => !areHandsOff(step));

/** The step that this person did last, to take it back. */
export const lastDone = (day: Day, person: number | null, sheet: RunSheet): RunStepNow | undefined => {
  const at = new Map(sheet.done.map((entry) => [entry.key, entry.at]));
  return stepsOfPerson(day, person)
    .filter((step) => at.has(step.key))
    .sort((a, b) => ((at.get(a.key) ?? '') < (at.get(b.key) ?? '') ? 1 : -1))[0];
};
