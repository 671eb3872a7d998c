import { rational, type Rational } from '@frostmoot/calc';
import { labelCode } from '../../lib/label-code.ts';
import type { Container, EndedContainer, Freezer } from './freezer-query.ts';

/** Containers that differ in nothing but their code: one row of the list. */
export interface SameContainers {
  first: Container;
  containers: readonly Container[];
}

const keyOf = ({ recipeId, portions, bestBefore, place, claim, offered, standing }: Container): string =>
  JSON.stringify([recipeId, portions, bestBefore, place, claim === 'held', offered, standing]);

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

/** What was ended today, which can still be taken back. */
export const endedOn = (
  ended: Freezer['ended'],
  today: string,
  dateOf: (instant: string) => string,
): EndedContainer[] => ended.filter(({ endedAt, state }) => dateOf(endedAt) === today && state !== 'recalled');

/** The rows by where they lie, the places in the order of their names and what has none last. */
export function byPlace(rows: readonly SameContainers[]): [place: string, rows: SameContainers[]][] {
  const places = new Map<string, SameContainers[]>();
  for (const row of rows) places.set(row.first.place, [...(places.get(row.first.place) ?? []), row]);
  return [...places].sort(([a], [b]) => (a === '' ? 1 : b === '' ? -1 : a.localeCompare(b)));
}
