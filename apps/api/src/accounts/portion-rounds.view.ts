import type { PortionPeriod, PortionPeriods } from '@frostmoot/calc';
import type { portionRounds } from '@frostmoot/contract';
import type { z } from 'zod';

type View = z.infer<typeof portionRounds>;

const roundOf = ({ roundNumber, due, received, swapped, other, carried }: PortionPeriod): View['total'] => ({
  roundNumber,
  dueMicro: due.toString(),
  receivedMicro: received.toString(),
  swappedMicro: swapped.toString(),
  otherMicro: other.toString(),
  carriedMicro: carried.toString(),
});

/** A household's portions by round, in the wire's form. */
export const portionRoundsView = (
  household: { id: string; name: string },
  { periods, total }: PortionPeriods,
): View => ({
  household,
  rounds: periods.map(roundOf),
  total: roundOf(total),
});
