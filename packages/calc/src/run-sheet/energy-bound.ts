import type { Group, Kitchen } from './kitchen.ts';

/** Every step before a step, however far, as the places of `works`. */
function closureOf(kitchen: Kitchen, direct: (work: number) => readonly number[]): Set<number>[] {
  const known: (Set<number> | undefined)[] = kitchen.works.map(() => undefined);
  const all = (work: number): Set<number> => {
    const found = known[work];
    if (found) return found;
    const set = new Set<number>();
    known[work] = set;
    for (const next of direct(work)) {
      set.add(next);
      for (const further of all(next)) set.add(further);
    }
    return set;
  };
  return kitchen.works.map((_work, index) => all(index));
}

const countOf = ({ resources }: Group, { counts }: Kitchen): number =>
  resources.reduce((sum, resource) => sum + (counts[resource] ?? 0), 0);

/**
 * Earliest starts, and the least time from each start to the end of the day: along chains of steps that wait for one another, and by what those before (after) a step must have of
 * one group of resources, which takes at least their load divided by how many there are.
 */
export function headsAndTails(kitchen: Kitchen): { heads: number[]; tails: number[] } {
  const { works, groups } = kitchen;
  const order = works
    .map((_work, index) => index)
    .sort((a, b) => (works[b]?.tail ?? 0) - (works[a]?.tail ?? 0) || a - b);
  const before = closureOf(kitchen, (work) => works[work]?.after ?? []);
  const after = closureOf(kitchen, (work) => works[work]?.before ?? []);
  const heads = works.map(() => 0);
  const tails = works.map(({ duration }) => duration);
  for (const index of order) {
    let head = 0;
    for (const earlier of works[index]?.after ?? []) {
      head = Math.max(head, (heads[earlier] ?? 0) + (works[earlier]?.duration ?? 0));
    }
    for (const group of groups) {
      const own = group.demands.filter(({ work }) => before[index]?.has(work));
      if (own.length === 0) continue;
      const load = own.reduce((sum, { count, minutes }) => sum + count * minutes, 0);
      const first = Math.min(...own.map(({ work }) => heads[work] ?? 0));
      const rest = Math.min(...own.map(({ work, minutes }) => (works[work]?.duration ?? 0) - minutes));
      head = Math.max(head, first + Math.ceil(load / countOf(group, kitchen)) + rest);
    }
    heads[index] = head;
  }
  for (const index of [...order].reverse()) {
    const { duration = 0, before: next = [] } = works[index] ?? {};
    let rest = 0;
    for (const later of next) rest = Math.max(rest, tails[later] ?? 0);
    for (const group of groups) {
      const own = group.demands.filter(({ work }) => after[index]?.has(work));
      if (own.length === 0) continue;
      const load = own.reduce((sum, { count, minutes }) => sum + count * minutes, 0);
      const last = Math.min(...own.map(({ work, minutes }) => (tails[work] ?? 0) - minutes));
      rest = Math.max(rest, Math.ceil(load / countOf(group, kitchen)) + last);
    }
    tails[index] = duration + rest;
  }
  return { heads, tails };
}

/** Whether a day of this length would need more of one group in some stretch of time than there is: what each step must have there wherever it stands. */
function isRefuted(
  group: Group,
  kitchen: Kitchen,
  heads: readonly number[],
  tails: readonly number[],
  length: number,
): boolean {
  const count = countOf(group, kitchen);
  const windows = group.demands.map((demand) => {
    const first = heads[demand.work] ?? 0;
    const last = length - (tails[demand.work] ?? 0);
    return { ...demand, first, last };
  });
  if (windows.some(({ first, last }) => last < first)) return true;
  const begins = [...new Set(windows.flatMap(({ first, last }) => [first, last]))].sort((a, b) => a - b);
  const ends = [...new Set(windows.flatMap(({ first, last, minutes }) => [first + minutes, last + minutes]))].sort(
    (a, b) => a - b,
  );
  for (const from of begins) {
    for (const until of ends) {
      if (until <= from) continue;
      let needed = 0;
      for (const { first, last, minutes, count: each } of windows) {
        const early = Math.min(first + minutes, until) - Math.max(first, from);
        const late = Math.min(last + minutes, until) - Math.max(last, from);
        const least = Math.min(early, late);
        if (least > 0) needed += each * least;
      }
      if (needed > count * (until - from)) return true;
    }
  }
  return false;
}

/**
 * A length that no day can be shorter than, by energetic reasoning (Erschler and Lopez; Baptiste, Le Pape and Nuijten, Constraint-Based Scheduling, 2001; from memory): a
 * length is refuted when in some stretch of time the steps must have more of a group of resources than there is. Looked for by halving between `atLeast` and `best`.
 */
export function energyBound(kitchen: Kitchen, atLeast: number, best: number): number {
  const { heads, tails } = headsAndTails(kitchen);
  let low = Math.max(atLeast, ...heads.map((head, index) => head + (tails[index] ?? 0)));
  let high = best;
  while (low < high) {
    const middle = Math.floor((low + high) / 2);
    if (kitchen.groups.some((group) => isRefuted(group, kitchen, heads, tails, middle))) low = middle + 1;
    else high = middle;
  }
  return low;
}
