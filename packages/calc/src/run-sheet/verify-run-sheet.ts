import { formatInstant } from '../dates/instant.ts';
import { cmp } from '../rational.ts';
import type { RunSheetInput, Step } from './run-sheet-input.ts';
import { readRunSheet } from './run-sheet-input.ts';
import type { PlannedStep, RunSheetResult } from './run-sheet.ts';

/** What is wrong with a run sheet, with the step or lead it is about. */
export interface RunSheetViolation {
  code:
    | 'steps-missing'
    | 'times'
    | 'order'
    | 'numbers'
    | 'taken-twice'
    | 'pot'
    | 'length'
    | 'bound'
    | 'lead'
    | 'proof'
    | 'clock';
  id: string;
}

/** One thing held from one minute to another. */
interface Held {
  what: string;
  by: string;
  from: number;
  until: number;
}

const isOneOf = (numbers: readonly number[], needed: number, there: number): boolean =>
  numbers.length === needed &&
  new Set(numbers).size === needed &&
  numbers.every((number) => Number.isSafeInteger(number) && number >= 1 && number <= there);

function wrongOf(
  step: Step,
  planned: PlannedStep,
  sheet: RunSheetInput,
  ends: ReadonlyMap<string, number>,
): RunSheetViolation[] {
  const { id, start, handsOff, end } = planned;
  const isTimed =
    Number.isSafeInteger(start) && start >= 0 && handsOff === start + step.active && end === handsOff + step.passive;
  const isOrdered = step.after.every((earlier) => (ends.get(sheet.steps[earlier]?.id ?? '') ?? Infinity) <= start);
  const isNumbered =
    isOneOf(planned.people, step.people, sheet.people) &&
    isOneOf(planned.hobs, step.hobs, sheet.hobs) &&
    isOneOf(planned.ovens, step.ovens, sheet.ovens);
  const { potLitres } = step;
  const pot = sheet.pots.find((each) => each.id === planned.pot);
  const isPotted = potLitres ? pot !== undefined && cmp(pot.litres, potLitres) >= 0 : planned.pot === undefined;
  return [
    ...(isTimed ? [] : [{ code: 'times', id } as const]),
    ...(isOrdered ? [] : [{ code: 'order', id } as const]),
    ...(isNumbered ? [] : [{ code: 'numbers', id } as const]),
    ...(isPotted ? [] : [{ code: 'pot', id } as const]),
  ];
}

const heldBy = ({ id, start, handsOff, end, people, hobs, ovens, pot }: PlannedStep): Held[] => [
  ...people.map((number) => ({ what: `person ${number}`, by: id, from: start, until: handsOff })),
  ...hobs.map((number) => ({ what: `hob ${number}`, by: id, from: start, until: end })),
  ...ovens.map((number) => ({ what: `oven ${number}`, by: id, from: start, until: end })),
  ...(pot === undefined ? [] : [{ what: `pot ${pot}`, by: id, from: start, until: end }]),
];

/** Steps that hold something which another holds at the same time. */
function takenTwice(steps: readonly PlannedStep[]): RunSheetViolation[] {
  const held = steps.flatMap(heldBy);
  return held.flatMap((one, index) =>
    held.slice(index + 1).some((other) => other.what === one.what && other.from < one.until && one.from < other.until)
      ? [{ code: 'taken-twice' as const, id: one.by }]
      : [],
  );
}

function wrongLeads(sheet: RunSheetInput, result: RunSheetResult): RunSheetViolation[] {
  const starts = new Map(result.steps.map(({ id, start }) => [id, start]));
  const wrong = sheet.leads.filter(({ id, minutes, before }) => {
    const planned = result.leads.filter((lead) => lead.id === id);
    const end = before === undefined ? 0 : starts.get(before);
    return planned.length !== 1 || planned[0]?.end !== end || planned[0]?.start !== (end ?? 0) - minutes;
  });
  const extra = result.leads.length === sheet.leads.length ? [] : [{ code: 'lead' as const, id: '' }];
  return [...wrong.map(({ id }) => ({ code: 'lead' as const, id })), ...extra];
}

/** Instants are minutes from the start of the day, which the input gives or, with a time to be ready by, the length. */
function wrongClock(sheet: RunSheetInput, result: RunSheetResult): RunSheetViolation[] {
  const start = sheet.startsAt ?? (sheet.readyBy === undefined ? undefined : sheet.readyBy - result.minutes * 60_000);
  const at = (minutes: number): string | undefined => {
    if (start === undefined) return undefined;
    return Number.isSafeInteger(start + minutes) ? formatInstant(start + minutes * 60_000) : 'never';
  };
  const isDay = result.startsAt === at(0) && result.endsAt === at(result.minutes);
  const leads = result.leads.filter((lead) => lead.startsAt !== at(lead.start));
  return [
    ...(isDay ? [] : [{ code: 'clock', id: '' } as const]),
    ...leads.map(({ id }) => ({ code: 'clock', id }) as const),
  ];
}

/**
 * Checks a run sheet against its input from the definition alone, and knows nothing of how it was made: every step once and whole, after those it waits for; every
 * person, hob, oven and pot by one step at a time; the length; leads counted back; clock times; a bound that does not contradict. That no day is shorter it cannot check.
 * Gives what is wrong, an empty list when nothing is. Error: `invalid-input` for an input that is none.
 */
export function verifyRunSheet(input: unknown, result: RunSheetResult): RunSheetViolation[] {
  const sheet = readRunSheet(input);
  const planned = new Map(result.steps.map((step) => [step.id, step]));
  const ends = new Map(result.steps.map(({ id, end }) => [id, end]));
  const isComplete = planned.size === sheet.steps.length && result.steps.length === sheet.steps.length;
  const length = Math.max(0, ...ends.values());
  const isBound =
    result.proof === 'bounded' ? (result.atLeast ?? Infinity) < result.minutes : result.atLeast === undefined;
  return [
    ...(isComplete ? [] : [{ code: 'steps-missing', id: '' } as const]),
    ...sheet.steps.flatMap((step) => {
      const found = planned.get(step.id);
      return found ? wrongOf(step, found, sheet, ends) : [{ code: 'steps-missing', id: step.id } as const];
    }),
    ...takenTwice(result.steps),
    ...(result.minutes === length ? [] : [{ code: 'length', id: '' } as const]),
    ...(isBound ? [] : [{ code: 'bound', id: '' } as const]),
    ...wrongLeads(sheet, result),
    ...wrongClock(sheet, result),
    ...(['optimal', 'bounded'].includes(result.proof) ? [] : [{ code: 'proof', id: '' } as const]),
  ];
}
