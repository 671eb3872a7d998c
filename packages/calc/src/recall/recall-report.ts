/** What became of a recalled container: an answer, or what its state says without one; `none` is still to be answered. */
export type RecallFate = 'set-apart' | 'eaten' | 'given-away' | 'not-found' | 'gone' | 'none';
export type RecallAnswer = Exclude<RecallFate, 'gone' | 'none'>;

/**
 * The fate of one container of a recall: its newest answer; without one, eaten or gone (thrown away, lost) where its state says so, else `none`.
 * Source: our decision, ADR 60. `state` as in the book of containers; never throws.
 */
export function recallFate(container: { answer: RecallAnswer | null; state: string }): RecallFate {
  if (container.answer !== null) return container.answer;
  if (container.state === 'eaten') return 'eaten';
  return container.state === 'thrown-away' || container.state === 'lost' ? 'gone' : 'none';
}

export interface RecallCounts {
  all: number;
  portions: number;
  setApart: number;
  eaten: number;
  givenAway: number;
  notFound: number;
  gone: number;
  none: number;
}

const COUNTED = {
  'set-apart': 'setApart',
  eaten: 'eaten',
  'given-away': 'givenAway',
  'not-found': 'notFound',
  gone: 'gone',
  none: 'none',
} as const satisfies Record<RecallFate, keyof RecallCounts>;

/**
 * How many containers had which fate. Source: our decision, ADR 60. Each container is counted once, so that the six fates sum to `all`; `portions` are
 * those of all of them.
 */
export function recallCounts(containers: readonly { fate: RecallFate; portions: number }[]): RecallCounts {
  const counts = { all: 0, portions: 0, setApart: 0, eaten: 0, givenAway: 0, notFound: 0, gone: 0, none: 0 };
  for (const { fate, portions } of containers) {
    counts.all += 1;
    counts.portions += portions;
    counts[COUNTED[fate]] += 1;
  }
  return counts;
}

export type Reached = 'not-reached' | 'told' | 'seen' | 'answered';

/**
 * How far a household is: answered when no container is without a fate, seen when somebody of it has seen the notice, told when a mail went out, else not
 * reached. Source: our decision, ADR 60.
 */
export function reachedBy(household: { none: number; seen: boolean; mailed: boolean }): Reached {
  if (household.none === 0) return 'answered';
  if (household.seen) return 'seen';
  return household.mailed ? 'told' : 'not-reached';
}

const WORST_FIRST: readonly Reached[] = ['not-reached', 'told', 'seen', 'answered'];

/** The order of a report: who is not reached first, then who was told, has seen it, has answered; ties by name in code units. */
export function worstFirst(a: { state: Reached; name: string }, b: { state: Reached; name: string }): number {
  const difference = WORST_FIRST.indexOf(a.state) - WORST_FIRST.indexOf(b.state);
  return difference !== 0 ? difference : a.name < b.name ? -1 : a.name > b.name ? 1 : 0;
}
