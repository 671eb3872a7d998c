/** What decides whether somebody may read which diner must not eat what. */
export interface Knowing {
  ownHousehold: boolean;
  coordinator: boolean;
  /** the asker's household has a turn on a cook day of a round that is not settled */
  cooksForAll: boolean;
}

/**
 * Whether restrictions of a household's diners are shown to somebody: they are health data, so only to the household itself, to coordinators, who plan
 * for everybody, and to those who cook for everybody now. Our decision.
 */
export const mayKnowRestrictions = (who: Knowing): boolean => who.ownHousehold || who.coordinator || who.cooksForAll;

/** What a diner asked to leave out. `strength`: 'hard' for must not eat, anything else for would rather not. */
export interface DinerRestrictions {
  restrictions: readonly { subject: string; strength: string }[];
}

/**
 * What a household leaves out, without saying whose it is.
 * Gives both lists sorted and without repetition; what somebody must not eat is not listed as a wish of another.
 */
export function exclusionsOf(diners: readonly DinerRestrictions[]): { mustNot: string[]; ratherNot: string[] } {
  const all = diners.flatMap(({ restrictions }) => restrictions);
  const hard = new Set(all.filter(({ strength }) => strength === 'hard').map(({ subject }) => subject));
  const wish = new Set(all.map(({ subject }) => subject).filter((subject) => !hard.has(subject)));
  return { mustNot: [...hard].sort(), ratherNot: [...wish].sort() };
}
