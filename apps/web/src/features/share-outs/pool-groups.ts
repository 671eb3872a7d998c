import type { Schemas } from '../../lib/api/schemas.ts';
import type { Container, ShareOut } from './share-out-query.ts';

type Line = Schemas['Waiting'];

/** Equal containers of the pool: one dish of one round in one size. */
export interface PoolGroup {
  key: string;
  /** how many there are, whoever claimed them */
  all: number;
  /** one of them, for what they have in common */
  one: Container;
  /** what my household may claim; what is kept for it comes first */
  free: Container[];
  /** what my household has claimed before the share-out */
  mine: Container[];
  /** what others have claimed before it */
  others: { household: string; n: number }[];
  /** what is kept for somebody who waited */
  kept: Line[];
}

export const groupKey = ({ roundId, recipeId, portions }: Container): string => `${roundId}-${recipeId}-${portions}`;

/** The pool by dish and size: this round before earlier ones, dishes by name, the largest size first. */
export function poolGroups(
  { pool, earlyClaims, waiting }: Pick<ShareOut, 'pool' | 'earlyClaims' | 'waiting'>,
  householdId: string,
): PoolGroup[] {
  const claimed = new Map(earlyClaims.map(({ containerId, household }) => [containerId, household]));
  const keptFor = new Map(
    waiting.flatMap((line) => (line.state === 'kept' && line.container ? [[line.container.id, line]] : [])),
  );
  const groups = new Map<string, PoolGroup>();
  for (const container of pool) {
    const key = groupKey(container);
    const group = groups.get(key) ?? { key, all: 0, one: container, free: [], mine: [], others: [], kept: [] };
    groups.set(key, group);
    group.all += 1;
    const by = claimed.get(container.id);
    const line = keptFor.get(container.id);
    if (line) group.kept.push(line);
    if (by?.id === householdId) group.mine.push(container);
    else if (by) addTo(group.others, by.name);
    else if (line?.household.id === householdId) group.free.unshift(container);
    else if (!line) group.free.push(container);
  }
  return [...groups.values()].sort(
    (a, b) =>
      b.one.roundNumber - a.one.roundNumber || a.one.dish.localeCompare(b.one.dish) || b.one.portions - a.one.portions,
  );
}

function addTo(others: PoolGroup['others'], household: string): void {
  const known = others.find((one) => one.household === household);
  if (known) known.n += 1;
  else others.push({ household, n: 1 });
}
