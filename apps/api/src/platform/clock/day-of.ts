import type { Tx } from '../db/prisma.ts';
import type { Scope } from '../db/scope.ts';
import type { Clock } from './clock.ts';
import { localToday } from './local-today.ts';

/** The present of a cooperative: the instant, its zone and the local date there. */
export interface CooperativeDay {
  now: Date;
  timeZone: string;
  today: string;
}

export async function dayOf(tx: Tx, scope: Scope, clock: Clock): Promise<CooperativeDay> {
  const { timeZone } = await tx.cooperative.findUniqueOrThrow({
    where: { id: scope.cooperativeId },
    select: { timeZone: true },
  });
  return dayIn(timeZone, clock);
}

/** The same for a zone that is known. */
export function dayIn(timeZone: string, clock: Clock): CooperativeDay {
  const now = clock.now();
  return { now, timeZone, today: localToday(now, timeZone) };
}
