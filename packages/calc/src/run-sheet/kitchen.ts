import { cmp } from '../rational.ts';
import type { RunSheetInput, Step } from './run-sheet-input.ts';

/** So many of a resource, held so many minutes from the step's start. */
export interface Use {
  resource: number;
  count: number;
  minutes: number;
}

/** One way to do a step: what it takes if a pot of this size is taken. Steps without a pot have one way. */
export interface Way {
  uses: readonly Use[];
  /** the resource of the pot */
  pot?: number;
}

export interface Work {
  duration: number;
  after: readonly number[];
  before: readonly number[];
  ways: readonly Way[];
  /** minutes from the step's start to the end of the longest chain of steps that it begins */
  tail: number;
}

/** Resources that can stand in for one another, and the steps that must have some of them: people; hobs; ovens; the pots from one size up. */
export interface Group {
  resources: readonly number[];
  demands: readonly { work: number; count: number; minutes: number }[];
}

/** Steps and resources as numbers: resource 0 is people, 1 hobs, 2 ovens, from 3 on the pots by size, smallest first. */
export interface Kitchen {
  /** how many there are of each resource: things of one kind that are alike */
  counts: readonly number[];
  works: readonly Work[];
  groups: readonly Group[];
}

export const firstPot = 3;

/** The pots by size, smallest first: sizes with the numbers of their pots in the sorted list. */
export function potSizes({ pots }: RunSheetInput): number[][] {
  const sizes: number[][] = [];
  pots.forEach((pot, index) => {
    const last = sizes.at(-1);
    const alike = pots[last?.[0] ?? -1];
    if (last && alike && cmp(alike.litres, pot.litres) === 0) last.push(index);
    else sizes.push([index]);
  });
  return sizes;
}

function waysOf(step: Step, sheet: RunSheetInput, sizes: readonly number[][]): Way[] {
  const whole = step.active + step.passive;
  const uses = [
    { resource: 0, count: step.people, minutes: step.active },
    { resource: 1, count: step.hobs, minutes: whole },
    { resource: 2, count: step.ovens, minutes: whole },
  ].filter(({ count }) => count > 0);
  const { potLitres } = step;
  if (!potLitres) return [{ uses }];
  return sizes.flatMap((members, size) => {
    const pot = sheet.pots[members[0] ?? -1];
    if (!pot || cmp(pot.litres, potLitres) < 0) return [];
    const resource = firstPot + size;
    return [{ uses: [...uses, { resource, count: 1, minutes: whole }], pot: resource }];
  });
}

/** Minutes from each step's start to the end of the longest chain after it. Steps have no circles. */
function tailsOf(steps: readonly Step[], before: readonly number[][]): number[] {
  const tails: (number | undefined)[] = steps.map(() => undefined);
  const tail = (index: number): number => {
    const known = tails[index];
    if (known !== undefined) return known;
    const step = steps[index];
    const own = step ? step.active + step.passive : 0;
    const found = own + Math.max(0, ...(before[index] ?? []).map(tail));
    tails[index] = found;
    return found;
  };
  return steps.map((_step, index) => tail(index));
}

function groupsOf(resources: number, works: readonly Work[]): Group[] {
  return Array.from({ length: resources }, (_one, first) => {
    const members = first < firstPot ? [first] : Array.from({ length: resources - first }, (_each, i) => first + i);
    const demands = works.flatMap(({ ways }, work) => {
      const uses = ways.flatMap((way) => way.uses.find(({ resource }) => members.includes(resource)) ?? []);
      const [use] = uses;
      return use && uses.length === ways.length ? [{ work, count: use.count, minutes: use.minutes }] : [];
    });
    return { resources: members, demands };
  });
}

/** The kitchen's day as numbers, from an input that has been read. */
export function kitchenOf(sheet: RunSheetInput): Kitchen {
  const sizes = potSizes(sheet);
  const before = sheet.steps.map((): number[] => []);
  sheet.steps.forEach(({ after }, index) => after.forEach((earlier) => before[earlier]?.push(index)));
  const tails = tailsOf(sheet.steps, before);
  const counts = [sheet.people, sheet.hobs, sheet.ovens, ...sizes.map((members) => members.length)];
  const works = sheet.steps.map((step, index): Work => ({
    duration: step.active + step.passive,
    after: step.after,
    before: before[index] ?? [],
    ways: waysOf(step, sheet, sizes),
    tail: tails[index] ?? 0,
  }));
  return { counts, works, groups: groupsOf(counts.length, works) };
}
