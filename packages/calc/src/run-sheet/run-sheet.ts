import { formatInstant, msPerMinute } from '../dates/instant.ts';
import { handOut } from './hands.ts';
import { firstPot, kitchenOf, potSizes } from './kitchen.ts';
import type { Placed } from './partial-day.ts';
import type { RunSheetInput } from './run-sheet-input.ts';
import { readRunSheet } from './run-sheet-input.ts';
import type { ShortestDay } from './shortest-day.ts';
import { shortestDay } from './shortest-day.ts';

/** A step with its times in minutes from the start of the day, and what it takes by number or id. */
export interface PlannedStep {
  id: string;
  start: number;
  handsOff: number;
  end: number;
  people: number[];
  hobs: number[];
  ovens: number[];
  pot?: string;
}

/** What begins before: minutes from the start of the day, negative before it. */
export interface PlannedLead {
  id: string;
  start: number;
  end: number;
  startsAt?: string;
}

export interface RunSheetResult {
  proof: 'optimal' | 'bounded';
  /** only where the proof is `bounded`: no day is shorter */
  atLeast?: number;
  minutes: number;
  steps: PlannedStep[];
  leads: PlannedLead[];
  startsAt?: string;
  endsAt?: string;
}

function plannedSteps(sheet: RunSheetInput, placed: readonly Placed[]): PlannedStep[] {
  const kitchen = kitchenOf(sheet);
  const sizes = potSizes(sheet);
  const taken = handOut(kitchen, placed);
  return [...placed]
    .sort((a, b) => a.start - b.start || a.work - b.work)
    .flatMap(({ work, start, way }) => {
      const step = sheet.steps[work];
      const { pot, people = [], hobs = [], ovens = [] } = taken.get(work) ?? {};
      if (!step) return [];
      const size = (kitchen.works[work]?.ways[way]?.pot ?? firstPot) - firstPot;
      const potId = pot === undefined ? undefined : sheet.pots[sizes[size]?.[pot - 1] ?? -1]?.id;
      const handsOff = start + step.active;
      const times = { start, handsOff, end: handsOff + step.passive };
      return [{ id: step.id, ...times, people, hobs, ovens, ...(potId === undefined ? {} : { pot: potId }) }];
    });
}

/**
 * The order of work of a cook day, in the least time from its first step to the end of its last. Steps keep their order (`after`); hands are bound for the
 * active minutes, hobs, ovens and the pot for the passive ones too, and a step once begun is not interrupted. Method: branch and bound, proved (`optimal`) unless the
 * search reaches its limit, which is a count; then the best found with what no day can be shorter than (`bounded`). Ties: the first found in order of ids. Sources:
 * Demeulemeester and Herroelen, Management Science 38 (1992); thawing, USDA FSIS, 24 hours for 5 lb (2.27 kg) in the refrigerator.
 * Input `{people, hobs?, ovens?, pots?: [{id, litres}], steps: [{id, active, passive?, people?, hobs?, ovens?, potLitres?, after?: [id]}], leads?: [{id,
 * minutes | thaw: {quantity, unit}, before?}], startsAt? | readyBy?}`, whole minutes; people of a step is 1 where it is left out. Result: `minutes` in all;
 * steps by start with `start`, `handsOff`, `end` and who and what by number; `leads` counted back from the step named in `before` or from the start of the day.
 * Errors: `invalid-input`, `duplicate-id`, `unknown-unit`, `units-incompatible`.
 */
export function runSheet(input: unknown): RunSheetResult {
  const sheet = readRunSheet(input);
  return sheetOf(sheet, shortestDay(kitchenOf(sheet)));
}

/** The result of a day, with the leads counted back from it and the times of the clock. */
export function sheetOf(sheet: RunSheetInput, { day, atLeast }: ShortestDay): RunSheetResult {
  const steps = plannedSteps(sheet, day.placed);
  const startsAt =
    sheet.startsAt ?? (sheet.readyBy === undefined ? undefined : sheet.readyBy - day.length * msPerMinute);
  const at = (minutes: number): string | undefined =>
    startsAt === undefined ? undefined : formatInstant(startsAt + minutes * msPerMinute);
  const starts = new Map(steps.map(({ id, start }) => [id, start]));
  const leads = sheet.leads.map(({ id, minutes, before }) => {
    const end = before === undefined ? 0 : (starts.get(before) ?? 0);
    return { id, start: end - minutes, end, startsAt: at(end - minutes) };
  });
  return {
    proof: day.length === atLeast ? 'optimal' : 'bounded',
    ...(day.length === atLeast ? {} : { atLeast }),
    minutes: day.length,
    steps,
    leads: leads.map(({ startsAt: from, ...lead }) => ({ ...lead, ...(from === undefined ? {} : { startsAt: from }) })),
    ...(startsAt === undefined
      ? {}
      : { startsAt: formatInstant(startsAt), endsAt: formatInstant(startsAt + day.length * msPerMinute) }),
  };
}
