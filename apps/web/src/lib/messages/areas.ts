import type accounts from './en/accounts.json';
import type buying from './en/buying.json';
import type collection from './en/collection.json';
import type common from './en/common.json';
import type coordinator from './en/coordinator.json';
import type food from './en/food.json';
import type freezer from './en/freezer.json';
import type household from './en/household.json';
import type kitchen from './en/kitchen.json';
import type labels from './en/labels.json';
import type nav from './en/nav.json';
import type notices from './en/notices.json';
import type problems from './en/problems.json';
import type recalls from './en/recalls.json';
import type recipes from './en/recipes.json';
import type rota from './en/rota.json';
import type round from './en/round.json';
import type scan from './en/scan.json';
import type shareOut from './en/shareOut.json';
import type signIn from './en/signIn.json';
import type swaps from './en/swaps.json';
import type thisWeek from './en/thisWeek.json';

/** The catalogue, one file per area and language; English decides which keys there are. */
interface Catalogue {
  accounts: typeof accounts;
  buying: typeof buying;
  collection: typeof collection;
  common: typeof common;
  coordinator: typeof coordinator;
  food: typeof food;
  freezer: typeof freezer;
  household: typeof household;
  kitchen: typeof kitchen;
  labels: typeof labels;
  nav: typeof nav;
  notices: typeof notices;
  problems: typeof problems;
  recalls: typeof recalls;
  recipes: typeof recipes;
  rota: typeof rota;
  round: typeof round;
  scan: typeof scan;
  shareOut: typeof shareOut;
  signIn: typeof signIn;
  swaps: typeof swaps;
  thisWeek: typeof thisWeek;
}

export type Area = keyof Catalogue;
export type MessageKey = { [A in Area]: `${A}.${Extract<keyof Catalogue[A], string>}` }[Area];

/** Needed on every page, so loaded before the first one is shown. */
export const CORE_AREAS: readonly Area[] = ['common', 'nav', 'problems'];
