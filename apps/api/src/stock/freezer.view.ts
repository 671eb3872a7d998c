import { addDays, becameBy, costPerEatenPortion, formatDate, parseDate, rational, stockTotal } from '@frostmoot/calc';
import type { Rational } from '@frostmoot/calc';
import type { freezer } from '@frostmoot/contract';
import type { z } from 'zod';
import type { CooperativeDay } from '../platform/clock/day-of.ts';
import { localToday } from '../platform/clock/local-today.ts';
import type { ContainerCard } from './container-card.ts';

export type FreezerView = z.infer<typeof freezer>;

/** The most containers that a freezer shows of those that have ended. */
const ENDED_SHOWN = 100;
/** Digits of a key by which rounds are sorted as text. */
const ROUND_DIGITS = 9;

interface Household {
  id: string;
  name: string;
  freezerMl: number | null;
  alertDays: number;
}

/** A household's freezer: what is in it, what has become of the rest, and what an eaten portion cost. */
export function freezerView(
  { id, name, freezerMl, alertDays }: Household,
  containers: readonly ContainerCard[],
  { today, timeZone }: CooperativeDay,
  costs: ReadonlyMap<number, Rational>,
): FreezerView {
  const total = stockTotal(containers);
  const ended = containers.flatMap((card) => (card.endedAt === null ? [] : [{ ...card, endedAt: card.endedAt }]));
  const byMonth = becameBy(ended, ({ endedAt }) => localToday(new Date(endedAt), timeZone).slice(0, 7));
  const rounds = becameBy(ended, ({ roundNumber }) => String(roundNumber).padStart(ROUND_DIGITS, '0')).map(
    ([key, became]) => {
      const roundNumber = Number(key);
      return { roundNumber, costPerPortionMinor: costs.get(roundNumber) ?? null, ...became };
    },
  );
  const perEaten = costPerEatenPortion(rounds);
  return {
    household: { id, name },
    today,
    litresUsed: rational.format(total.litres),
    litresTotal: freezerMl === null ? null : rational.format(rational.rational(BigInt(freezerMl), 1000n)),
    alertDays,
    alertUntil: formatDate(addDays(parseDate(today), alertDays)),
    items: containers.filter(({ state }) => state === 'sealed'),
    ended: ended.sort((a, b) => (a.endedAt < b.endedAt ? 1 : -1)).slice(0, ENDED_SHOWN),
    portionsEaten: total.portionsEaten,
    portionsThrownAway: total.portionsThrownAway,
    byMonth: byMonth.map(([month, became]) => ({ month, ...became })),
    byRound: rounds.map(({ costPerPortionMinor, ...round }) => ({
      ...round,
      costPerPortionMinor: costPerPortionMinor && rational.shown(costPerPortionMinor),
    })),
    costPerEatenPortionMinor: perEaten && rational.shown(perEaten),
  };
}
