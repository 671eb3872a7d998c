import type { Item, Limits } from './limits.ts';
import type { RotaProblem } from './rota-problem.ts';

/** Every limit that a rota does not keep, as items; a team that is two too small is two items. */
export function brokenBy({ weeks, households, demandsIn, meets }: RotaProblem, limits: Limits, on: Uint8Array): Item[] {
  const broken: Item[] = [];
  weeks.forEach(({ potMl }, week) => {
    const add = (kind: Item['kind'], at: number, cooks = 0): void => void broken.push({ kind, at, cooks, week });
    const pairOf = (h: number): number => h * weeks.length + week;
    const team = [...households.keys()].filter((h) => on[pairOf(h)]);
    for (let cooks = limits.least[week] ?? 0; cooks > team.length; cooks--) add('least', week, cooks);
    for (let cooks = limits.most[week] ?? 0; cooks < team.length; cooks++) add('most', week, cooks);
    for (const demand of demandsIn[week] ?? []) {
      const isMet = team.some((h) => meets[pairOf(h)]?.includes(demand));
      if (limits.skill[demand] && !isMet) add('skill', demand);
    }
    const pots = team.reduce((sum, h) => sum + (households[h]?.potMl ?? 0), 0);
    if (limits.pots[week] && pots < potMl) add('pots', week);
    households.forEach(({ minGap }, h) => {
      const at = pairOf(h);
      if (limits.kept[at] && !on[at]) add('kept', at);
      if (limits.away[at] && on[at]) add('away', at);
      const before = on.subarray(at - Math.min(week, minGap), at);
      if (limits.gap[at] && on[at] && before.includes(1)) add('gap', at);
    });
  });
  return broken;
}
