import { rational, type Rational } from '@frostmoot/calc';
import type { Container, EndedContainer, Freezer } from './freezer-query.ts';

/** Containers that differ in nothing but their code: one row of the list. */
export interface SameContainers {
  first: Container;
  containers: readonly Container[];
}

const keyOf = ({ recipeId, portions, bestBefore, place, claim, offered }: Container): string =>
  JSON.stringify([recipeId, portions, bestBefore, place, claim === 'held', offered]);

/** The list by best-before, equal containers in one row, in the order in which they came. */
export function inOrder(items: readonly Container[]): SameContainers[] {
  const rows = new Map<string, Container[]>();
  for (const item of [...items].sort((a, b) => a.bestBefore.localeCompare(b.bestBefore))) {
    rows.set(keyOf(item), [...(rows.get(keyOf(item)) ?? []), item]);
  }
  return [...rows.values()].flatMap((containers) => {
    const [first] = containers;
    return first ? [{ first, containers }] : [];
  });
}

export const portionsOf = (containers: readonly { portions: number }[]): number =>
  containers.reduce((sum, { portions }) => sum + portions, 0);

const ARABIC_ZEROS = [0x0660, 0x06f0];

/** What was typed as it stands on a label: capitals, Latin digits, hyphens between the parts. */
export function labelCode(typed: string): string {
  return [...typed.trim().toUpperCase()]
    .map((character) => {
      const zero = ARABIC_ZEROS.find(
        (start) => character >= String.fromCharCode(start) && character <= String.fromCharCode(start + 9),
      );
      return zero === undefined ? character : String(character.charCodeAt(0) - zero);
    })
    .join('')
    .replace(/[\s\u2010-\u2015_/.]+/g, '-');
}

const plain = (text: string): string => text.normalize('NFD').replace(/\p{M}/gu, '').toLocaleLowerCase();

/** Whether a container is the one meant by a code, by the beginning of a code, or by the name of its dish. */
function isMeant(container: Pick<Container, 'code' | 'dish'>, typed: string): boolean {
  const code = labelCode(typed);
  return (
    container.code === code ||
    container.code.startsWith(`${code}-`) ||
    plain(container.dish).includes(plain(typed.trim()))
  );
}

/** Those that are meant: the one whose code it is, else all that fit. */
export function found<C extends Pick<Container, 'code' | 'dish'>>(containers: readonly C[], typed: string): C[] {
  const exact = containers.filter(({ code }) => code === labelCode(typed));
  return exact.length > 0 ? exact : containers.filter((container) => isMeant(container, typed));
}

/** Litres of what is set aside and not yet claimed, which is on its way rather than in the drawer. */
export const litresComing = (items: readonly Container[]): Rational =>
  rational.rational(
    BigInt(items.reduce((sum, { claim, millilitres }) => sum + (claim === 'held' ? (millilitres ?? 0) : 0), 0)),
    1000n,
  );

export interface MonthOfEnds {
  /** "2026-11" */
  month: string;
  eaten: number;
  thrownAway: number;
  lost: number;
}

/** Containers eaten, thrown away and lost by month, the latest first. `dateOf`: an instant's day in the cooperative's zone. */
export function endsByMonth(ended: Freezer['ended'], dateOf: (instant: string) => string): MonthOfEnds[] {
  const months = new Map<string, MonthOfEnds>();
  for (const { endedAt, state } of ended) {
    const month = dateOf(endedAt).slice(0, 7);
    const before = months.get(month) ?? { month, eaten: 0, thrownAway: 0, lost: 0 };
    months.set(month, {
      ...before,
      eaten: before.eaten + (state === 'eaten' ? 1 : 0),
      thrownAway: before.thrownAway + (state === 'thrown-away' || state === 'recalled' ? 1 : 0),
      lost: before.lost + (state === 'lost' ? 1 : 0),
    });
  }
  return [...months.values()].sort((a, b) => b.month.localeCompare(a.month));
}

/** What was ended today, which can still be taken back. */
export const endedOn = (
  ended: Freezer['ended'],
  today: string,
  dateOf: (instant: string) => string,
): EndedContainer[] => ended.filter(({ endedAt, state }) => dateOf(endedAt) === today && state !== 'recalled');
