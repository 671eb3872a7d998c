import { byCodeUnits } from '../canonical.ts';
import type { RotaProblem } from './rota-problem.ts';

/**
 * One named limit of a rota. `least` and `most`: at least, at most so many cook (both together are the size of the team); `kept`: a turn that stands;
 * `skill`: somebody can make the dish; `pots`: the team's pots hold enough; `gap`: no turn in the weeks of the household's gap before this one; `away`:
 * the household is away. In a repair `cooks` is the number that is asked for instead.
 */
export type Limit =
  | { kind: 'least' | 'most'; week: string; cooks: number }
  | { kind: 'kept' | 'gap' | 'away'; week: string; household: string }
  | { kind: 'skill'; week: string; dish: string }
  | { kind: 'pots'; week: string };

export type LimitKind = Limit['kind'];

/** The same in numbers: `at` is a week for least, most and pots, a demand for skill, a pair for the rest; `cooks` is only for least and most. */
export interface Item {
  kind: LimitKind;
  at: number;
  cooks: number;
  week: number;
}

/** Which limits are to be kept. By week: least, most, pots; by demand: skill; by pair: kept, gap, away. */
export interface Limits {
  least: Int32Array;
  most: Int32Array;
  kept: Uint8Array;
  skill: Uint8Array;
  pots: Uint8Array;
  gap: Uint8Array;
  away: Uint8Array;
}

export const noLimits = ({ weeks, households, away, demands }: RotaProblem): Limits => ({
  least: new Int32Array(weeks.length),
  most: new Int32Array(weeks.length).fill(households.length),
  kept: new Uint8Array(away.length),
  skill: new Uint8Array(demands.length),
  pots: new Uint8Array(weeks.length),
  gap: new Uint8Array(away.length),
  away: new Uint8Array(away.length),
});

export function allLimits(problem: RotaProblem): Limits {
  const { weeks, households, away, kept, demands } = problem;
  return {
    least: Int32Array.from(weeks, ({ team }) => team),
    most: Int32Array.from(weeks, ({ team }) => team),
    kept: kept.slice(),
    skill: new Uint8Array(demands.length).fill(1),
    pots: Uint8Array.from(weeks, ({ potMl }) => (potMl > 0 ? 1 : 0)),
    gap: Uint8Array.from(away, (_, pair) => ((households[Math.floor(pair / weeks.length)]?.minGap ?? 0) > 0 ? 1 : 0)),
    away: away.slice(),
  };
}

/** Adds an item to limits that may lack it. */
export function impose(limits: Limits, { kind, at, cooks }: Item): void {
  if (kind === 'least') limits.least[at] = Math.max(limits.least[at] ?? 0, cooks);
  else if (kind === 'most') limits.most[at] = Math.min(limits.most[at] ?? 0, cooks);
  else limits[kind][at] = 1;
}

/** Takes an item out of limits: where so many cooks are not needed one fewer is, and where so many are not enough one more may come. */
export function lift(limits: Limits, { kind, at, cooks }: Item): void {
  if (kind === 'least') limits.least[at] = Math.min(limits.least[at] ?? 0, cooks - 1);
  else if (kind === 'most') limits.most[at] = Math.max(limits.most[at] ?? 0, cooks + 1);
  else limits[kind][at] = 0;
}

/** The limits of these weeks as items. A conflict keeps early ones rather than late ones, and weak ones of a kind come first. */
export function itemsOf(problem: RotaProblem, limits: Limits, from: number, to: number): Item[] {
  const { weeks, households, demandsIn } = problem;
  const items: Item[] = [];
  const span = Array.from({ length: to - from + 1 }, (_, i) => from + i);
  const pairs = (kind: 'kept' | 'gap' | 'away', first: number): void => {
    for (const week of span.filter((w) => w >= first)) {
      for (const h of households.keys()) {
        const at = h * weeks.length + week;
        if (limits[kind][at]) items.push({ kind, at, cooks: 0, week });
      }
    }
  };
  for (const week of span) {
    const [least, most] = [limits.least[week] ?? 0, limits.most[week] ?? 0];
    for (let cooks = 1; cooks <= least; cooks++) items.push({ kind: 'least', at: week, cooks, week });
    for (let cooks = households.length - 1; cooks >= most; cooks--) items.push({ kind: 'most', at: week, cooks, week });
  }
  pairs('kept', from);
  for (const week of span) {
    for (const at of demandsIn[week] ?? []) if (limits.skill[at]) items.push({ kind: 'skill', at, cooks: 0, week });
    if (limits.pots[week]) items.push({ kind: 'pots', at: week, cooks: 0, week });
  }
  // A gap looks back, so that of the first week binds nothing here.
  pairs('gap', from + 1);
  pairs('away', from);
  return items;
}

/** An item by its names. */
export function limitOf({ weeks, households, demands }: RotaProblem, { kind, at, cooks, week }: Item): Limit {
  const named = weeks[week]?.id ?? '';
  if (kind === 'least' || kind === 'most') return { kind, week: named, cooks };
  if (kind === 'pots') return { kind, week: named };
  if (kind === 'skill') return { kind, week: named, dish: demands[at]?.dish ?? '' };
  return { kind, week: named, household: households[Math.floor(at / weeks.length)]?.id ?? '' };
}

const kinds: readonly LimitKind[] = ['least', 'most', 'kept', 'skill', 'pots', 'gap', 'away'];
const rest = (limit: Limit): string => ('household' in limit ? limit.household : 'dish' in limit ? limit.dish : '');

/** In time, then by kind and name. */
export const inOrder = (limits: readonly Limit[]): Limit[] =>
  [...limits].sort(
    (a, b) =>
      byCodeUnits(a.week, b.week) || kinds.indexOf(a.kind) - kinds.indexOf(b.kind) || byCodeUnits(rest(a), rest(b)),
  );
