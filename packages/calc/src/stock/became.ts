import { byCodeUnits } from '../canonical.ts';
import type { Rational } from '../rational.ts';
import { add, div, mul, rational, zero } from '../rational.ts';
import type { ContainerState } from './container-end.ts';

/** Portions by what became of them; a recalled container counts as lost. */
export interface Became {
  eaten: number;
  thrownAway: number;
  givenAway: number;
  lost: number;
}

export interface EndedPortions {
  state: ContainerState;
  portions: number;
}

const nothing: Became = { eaten: 0, thrownAway: 0, givenAway: 0, lost: 0 };
const columns: Record<ContainerState, keyof Became | null> = {
  sealed: null,
  eaten: 'eaten',
  'thrown-away': 'thrownAway',
  'given-away': 'givenAway',
  lost: 'lost',
  recalled: 'lost',
};

/** Portions that have ended, added up by a key (a month, a round); keys in descending order of their code units. `keyOf`: gives the key. */
export function becameBy<C extends EndedPortions>(
  containers: readonly C[],
  keyOf: (container: C) => string,
): [string, Became][] {
  const sums = new Map<string, Became>();
  for (const container of containers) {
    const column = columns[container.state];
    if (column === null) continue;
    const sum = sums.get(keyOf(container)) ?? nothing;
    sums.set(keyOf(container), { ...sum, [column]: sum[column] + container.portions });
  }
  return [...sums].sort(([a], [b]) => byCodeUnits(b, a));
}

/**
 * What a portion that was eaten has cost, waste included: the cost of all that was eaten and thrown away, divided by the portions eaten.
 * Our decision: what was given away or lost is left out, since neither was the household's to eat. `rounds`: what became of each round's portions, and
 * the cost of one of its portions in minor units (null: not known). Gives exact minor units, null when a cost is not known or nothing was eaten.
 */
export function costPerEatenPortion(
  rounds: readonly (Pick<Became, 'eaten' | 'thrownAway'> & { costPerPortionMinor: Rational | null })[],
): Rational | null {
  const used = rounds.filter(({ eaten, thrownAway }) => eaten + thrownAway > 0);
  const eaten = used.reduce((sum, round) => sum + round.eaten, 0);
  if (eaten === 0) return null;
  let cost = zero;
  for (const round of used) {
    if (round.costPerPortionMinor === null) return null;
    cost = add(cost, mul(round.costPerPortionMinor, rational(BigInt(round.eaten + round.thrownAway))));
  }
  return div(cost, rational(BigInt(eaten)));
}
