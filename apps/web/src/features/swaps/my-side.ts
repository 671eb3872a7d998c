import type { Container, Ring, Swap, SwapBoard } from './swap-query.ts';

/** A swap as my household sees it: what it gives and gets, and with whom. */
export interface MySide {
  other: { id: string; name: string };
  give: readonly Container[];
  get: readonly Container[];
  portionsGiven: number;
  portionsGot: number;
}

/** A swap is kept from its proposer's side; for the other household give and get are the other way round. */
export function mySide(swap: Swap, householdId: string): MySide {
  const { from, to, gives, gets, portionsGiven, portionsGot } = swap;
  if (from.id === householdId) return { other: to, give: gives, get: gets, portionsGiven, portionsGot };
  return { other: from, give: gets, get: gives, portionsGiven: portionsGot, portionsGot: portionsGiven };
}

export interface SameContainers {
  dish: string;
  portions: number;
  bestBefore: string;
  containers: readonly Container[];
}

/** Equal containers named together: "2 lentil stews, 2 portions each". */
export function alike(containers: readonly Container[]): SameContainers[] {
  const groups = new Map<string, Container[]>();
  for (const container of containers) {
    const key = [container.recipeId, container.portions, container.bestBefore].join(' ');
    groups.set(key, [...(groups.get(key) ?? []), container]);
  }
  return [...groups.values()].flatMap((same) => {
    const [first] = same;
    return first
      ? [{ dish: first.dish, portions: first.portions, bestBefore: first.bestBefore, containers: same }]
      : [];
  });
}

/** The answers that are due, the soonest first. */
export const bySoonest = (swaps: readonly Swap[]): Swap[] =>
  [...swaps].sort((a, b) => a.openUntil.localeCompare(b.openUntil) || a.id.localeCompare(b.id));

/** Whether a swap moves a container of this round. */
export const movesOfRound = (roundNumber: number) => (swap: Swap) =>
  [...swap.gives, ...swap.gets].some((container) => container.roundNumber === roundNumber);

/** Whether a ring moves a container of this round. */
export const ringOfRound =
  (roundNumber: number) =>
  ({ steps }: Ring): boolean =>
    steps.some(({ containers }) => containers.some((container) => container.roundNumber === roundNumber));

/** Proposals and rings that wait for my household's answer, the soonest first. */
export const answersDue = (board: Pick<SwapBoard, 'waitingForMe' | 'rings'>): (Swap | Ring)[] =>
  [...board.waitingForMe, ...board.rings.filter(({ members }) => members[0]?.answer === null)].sort(
    (a, b) => a.openUntil.localeCompare(b.openUntil) || a.id.localeCompare(b.id),
  );

/** The proposals that a proposal goes back to, the one that it answers first. */
export function before(swap: Swap, ended: readonly Swap[]): Swap[] {
  const found = ended.find(({ id }) => id === swap.answersId);
  return found ? [found, ...before(found, ended)] : [];
}
