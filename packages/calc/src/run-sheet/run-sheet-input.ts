import { byCodeUnits } from '../canonical.ts';
import type { Instant } from '../dates/instant.ts';
import type { Invalid, Of, Place } from '../input.ts';
import {
  distinctIds,
  id,
  instant,
  integer,
  invalid,
  list,
  optional,
  positive,
  readInput,
  record,
  refine,
} from '../input.ts';
import { convertQuantity } from '../quantity/convert.ts';
import { baseUnit, measuresChoice, resolveUnit, unitName } from '../quantity/units.ts';
import type { Rational } from '../rational.ts';
import { cmp, parse, rational } from '../rational.ts';
import { circleOf, named } from './circle.ts';
import { thawingMinutes } from './thawing.ts';

export interface Pot {
  id: string;
  litres: Rational;
}

/** One step: hands on for `active` minutes, then by itself for `passive`; its people are free after the first, its hobs, ovens and pot after both. */
export interface Step {
  id: string;
  active: number;
  passive: number;
  people: number;
  hobs: number;
  ovens: number;
  potLitres?: Rational;
  /** places in the list of steps, each before this one may begin */
  after: readonly number[];
}

/** What begins before the day, counted back from the start of a step, or of the day. */
export interface Lead {
  id: string;
  minutes: number;
  before?: string;
}

/** Every list sorted by id, so that nothing below depends on the order in which it was given. */
export interface RunSheetInput {
  people: number;
  hobs: number;
  ovens: number;
  pots: readonly Pot[];
  steps: readonly Step[];
  leads: readonly Lead[];
  startsAt?: Instant;
  readyBy?: Instant;
}

const mostSteps = 120;
const minutesADay = 1440;
const mostLeadMinutes = 14 * minutesADay;

const readPot = record({ id: id(), litres: positive() });

const readStep = record({
  id: id(),
  active: integer(0, minutesADay),
  passive: optional(integer(0, 2 * minutesADay)),
  people: optional(integer(1, 30)),
  hobs: optional(integer(0, 30)),
  ovens: optional(integer(0, 30)),
  potLitres: optional(positive()),
  after: optional(list(id(), { longest: mostSteps })),
});

const readThaw = refine(record({ quantity: positive(), unit: unitName, measures: measuresChoice }), (thaw, place) => {
  const unit = resolveUnit(thaw.unit, thaw.measures, place.at('unit'));
  if (unit === invalid) return invalid;
  if (unit.dimension !== 'mass')
    return place.at('unit').fault('Must be a unit of mass, such as kg.', 'units-incompatible');
  const kilograms = convertQuantity(thaw.quantity, unit, { ...baseUnit('mass'), inBase: rational(1000n) });
  if (cmp(kilograms, parse('30')) > 0) return place.at('quantity').fault('Must be at most 30 kg; thaw more in parts.');
  return thawingMinutes(kilograms);
});

const readLead = refine(
  record({
    id: id(),
    minutes: optional(integer(1, mostLeadMinutes)),
    thaw: optional(readThaw),
    before: optional(id()),
  }),
  ({ id: name, minutes, thaw, before }, place) => {
    const either = minutes ?? thaw;
    if (either === undefined || (minutes !== undefined && thaw !== undefined))
      return place.fault('Must have either minutes or thaw.');
    return { id: name, minutes: either, ...(before === undefined ? {} : { before }) };
  },
);

const readSheet = record({
  people: integer(1, 30),
  hobs: optional(integer(0, 30)),
  ovens: optional(integer(0, 30)),
  pots: optional(distinctIds(list(readPot, { longest: 60 }), (pot) => pot.id)),
  steps: distinctIds(list(readStep, { longest: mostSteps }), (step) => step.id),
  leads: optional(distinctIds(list(readLead, { longest: mostSteps }), (lead) => lead.id)),
  startsAt: optional(instant()),
  readyBy: optional(instant()),
});

type Sheet = Of<typeof readSheet>;

/** Notes whatever one step needs and the kitchen does not have. */
function checkStep(
  step: Sheet['steps'][number],
  { people, hobs = 0, ovens = 0, pots = [] }: Sheet,
  place: Place,
): boolean {
  const faults: Invalid[] = [];
  const check = (key: 'people' | 'hobs' | 'ovens', needed: number, there: number): void => {
    if (needed > there) faults.push(place.at(key).fault(`Needs ${needed}, and there are ${there}.`));
  };
  check('people', step.active > 0 ? (step.people ?? 1) : 0, people);
  check('hobs', step.hobs ?? 0, hobs);
  check('ovens', step.ovens ?? 0, ovens);
  const { potLitres } = step;
  if (potLitres && !pots.some(({ litres }) => cmp(litres, potLitres) >= 0))
    faults.push(place.at('potLitres').fault('There is no pot as large as that.'));
  if (step.active + (step.passive ?? 0) === 0) faults.push(place.at('active').fault('The step takes no time at all.'));
  return faults.length === 0;
}

/** Notes names of steps that do not exist and circles of steps that wait for one another. */
function checkOrder({ steps, leads = [] }: Sheet, place: Place): boolean {
  const known = new Set(steps.map((step) => step.id));
  let sound = true;
  const require = (name: string, where: Place): void => {
    if (known.has(name)) return;
    where.fault(`There is no step "${name}".`);
    sound = false;
  };
  steps.forEach(({ after = [] }, index) =>
    after.forEach((name, i) => require(name, place.at('steps').at(index).at('after').at(i))),
  );
  leads.forEach(({ before }, index) => {
    if (before !== undefined) require(before, place.at('leads').at(index).at('before'));
  });
  const circle = sound ? circleOf(new Map(steps.map((step) => [step.id, step.after ?? []]))) : undefined;
  if (!circle) return sound;
  const first = steps.findIndex((step) => step.id === circle[0]);
  place
    .at('steps')
    .at(first)
    .at('after')
    .fault(`Steps wait for one another: ${named(circle)}.`, 'step-cycle');
  return false;
}

const byId = (a: { id: string }, b: { id: string }): number => byCodeUnits(a.id, b.id);

function ordered(sheet: Sheet): RunSheetInput {
  const steps = [...sheet.steps].sort(byId);
  const places = new Map(steps.map((step, index) => [step.id, index]));
  return {
    people: sheet.people,
    hobs: sheet.hobs ?? 0,
    ovens: sheet.ovens ?? 0,
    pots: [...(sheet.pots ?? [])].sort((a, b) => cmp(a.litres, b.litres) || byId(a, b)),
    steps: steps.map(({ passive = 0, people = 1, hobs = 0, ovens = 0, potLitres, after = [], ...step }) => ({
      ...step,
      ...{ passive, people: step.active > 0 ? people : 0, hobs, ovens },
      ...(potLitres ? { potLitres } : {}),
      after: [...new Set(after.flatMap((name) => places.get(name) ?? []))].sort((a, b) => a - b),
    })),
    leads: [...(sheet.leads ?? [])].sort(byId),
    ...(sheet.startsAt === undefined ? {} : { startsAt: sheet.startsAt }),
    ...(sheet.readyBy === undefined ? {} : { readyBy: sheet.readyBy }),
  };
}

const readWhole = refine(readSheet, (sheet, place) => {
  const sound = sheet.steps.map((step, index) => checkStep(step, sheet, place.at('steps').at(index)));
  const isOrdered = checkOrder(sheet, place);
  if (sheet.startsAt !== undefined && sheet.readyBy !== undefined)
    return place.at('readyBy').fault('Give startsAt or readyBy, not both.');
  return isOrdered && sound.every(Boolean) ? ordered(sheet) : invalid;
});

/** Reads a run sheet's steps and kitchen. Errors: `invalid-input` (also for steps in a circle), `duplicate-id`, `unknown-unit`, `units-incompatible`. */
export const readRunSheet = (input: unknown): RunSheetInput => readInput(readWhole, input);
