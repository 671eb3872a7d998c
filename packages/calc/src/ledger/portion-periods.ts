import type { EntryKind } from './entry.ts';

/** One posting of a household in the book of portions, in the order in which it was booked. */
export interface PortionMove {
  kind: EntryKind;
  /** of a share-out: which of its two postings; of a correction: what it did */
  part?: string;
  amount: bigint;
  roundNumber: number | null;
}

/** What moved a balance from one share-out to the next, in micro-portions: carried = carried before + due - received + swapped + other. */
export interface PortionPeriod {
  /** of the share-out that it begins with; null: before the first */
  roundNumber: number | null;
  due: bigint;
  /** in the share-out, by its corrections and from the pool, less what was given back */
  received: bigint;
  /** given in swaps less got */
  swapped: bigint;
  /** losses, what a leaver was bought out for or left behind, openings and corrections */
  other: bigint;
  carried: bigint;
}

export interface PortionPeriods {
  periods: PortionPeriod[];
  total: PortionPeriod;
}

const empty = (roundNumber: number | null, carried: bigint): PortionPeriod => ({
  roundNumber,
  due: 0n,
  received: 0n,
  swapped: 0n,
  other: 0n,
  carried,
});

function add(period: PortionPeriod, { kind, part, amount }: PortionMove): PortionPeriod {
  const after = { ...period, carried: period.carried + amount };
  if (kind === 'share-out' && part === 'due') return { ...after, due: period.due + amount };
  const isMoved = part === 'moved-away' || part === 'moved-here';
  if (kind === 'share-out' || kind === 'claim' || kind === 'release' || isMoved) {
    return { ...after, received: period.received - amount };
  }
  if (kind === 'swap') return { ...after, swapped: period.swapped + amount };
  return { ...after, other: period.other + amount };
}

/**
 * A household's book of portions by rounds: each share-out begins a line, and what follows until the next one belongs to it.
 * Our decision: like a statement of a bank, a line is never changed by what comes later, also where a claim is for a container of an earlier round.
 * `moves`: its postings, oldest first. Gives the lines and their sum; the last `carried` is the balance.
 */
export function portionPeriods(moves: readonly PortionMove[]): PortionPeriods {
  const periods: PortionPeriod[] = [];
  for (const move of moves) {
    const last = periods.at(-1);
    const begins = move.kind === 'share-out' && last?.roundNumber !== move.roundNumber;
    if (!last || begins) periods.push(empty(move.kind === 'share-out' ? move.roundNumber : null, last?.carried ?? 0n));
    periods.push(add(periods.pop() as PortionPeriod, move));
  }
  const total = moves.reduce(add, empty(null, 0n));
  return { periods, total };
}
