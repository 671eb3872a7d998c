/** One allergen: its group if it belongs to one, and the published lists that name it. */
export interface AllergenRow {
  id: string;
  within?: string;
  lists: readonly AllergenList[];
}

export type AllergenList = 'us' | 'eu' | 'au-nz' | 'codex';

/** The published lists, each with its edition. */
export const allergenSources = [
  {
    id: 'us',
    title: 'FD&C Act 201(qq): FALCPA 2004, FASTER Act 2021; tree nuts by FDA Q&A Edition 5',
    edition: '2025-01',
  },
  { id: 'eu', title: 'Regulation (EU) No 1169/2011, Annex II', edition: '2011' },
  { id: 'au-nz', title: 'Food Standards Australia New Zealand, Standard 1.2.3 and Schedule 9', edition: '2021-02-25' },
  { id: 'codex', title: 'Codex CXS 1-1985, section on allergens', edition: '2024, from memory' },
] as const;

const everywhere = ['us', 'eu', 'au-nz', 'codex'] as const;
const notUs = ['eu', 'au-nz', 'codex'] as const;

/**
 * The lists merged; the ids are ours and never change. A group (gluten, tree nuts) stands for any of its members. A list that names a
 * member names it here even where it speaks of the group only. Spelt and khorasan are wheat. Sulphite means more than 10 mg/kg as SO2 in
 * the EU, 10 or more in Australia, New Zealand and Codex. Coconut is on no list and is kept because people ask for it.
 */
export const allergenRows: readonly AllergenRow[] = [
  { id: 'milk', lists: everywhere },
  { id: 'egg', lists: everywhere },
  { id: 'fish', lists: everywhere },
  { id: 'crustacean', lists: everywhere },
  { id: 'mollusc', lists: ['eu', 'au-nz'] },
  { id: 'peanut', lists: everywhere },
  { id: 'soy', lists: everywhere },
  { id: 'sesame', lists: everywhere },
  { id: 'mustard', lists: ['eu', 'codex'] },
  { id: 'celery', lists: ['eu', 'codex'] },
  { id: 'lupin', lists: notUs },
  { id: 'sulphite', lists: notUs },
  { id: 'buckwheat', lists: ['codex'] },
  { id: 'coconut', lists: [] },
  { id: 'gluten', lists: notUs },
  { id: 'wheat', within: 'gluten', lists: everywhere },
  { id: 'rye', within: 'gluten', lists: notUs },
  { id: 'barley', within: 'gluten', lists: notUs },
  { id: 'oats', within: 'gluten', lists: notUs },
  { id: 'tree_nut', lists: everywhere },
  { id: 'almond', within: 'tree_nut', lists: everywhere },
  { id: 'brazil_nut', within: 'tree_nut', lists: everywhere },
  { id: 'cashew', within: 'tree_nut', lists: everywhere },
  { id: 'hazelnut', within: 'tree_nut', lists: everywhere },
  { id: 'macadamia', within: 'tree_nut', lists: everywhere },
  { id: 'pecan', within: 'tree_nut', lists: everywhere },
  { id: 'pine_nut', within: 'tree_nut', lists: ['us', 'au-nz', 'codex'] },
  { id: 'pistachio', within: 'tree_nut', lists: everywhere },
  { id: 'walnut', within: 'tree_nut', lists: everywhere },
  { id: 'walnut.black', within: 'walnut', lists: ['us'] },
  { id: 'walnut.california', within: 'walnut', lists: ['us'] },
  { id: 'heartnut', within: 'walnut', lists: ['us'] },
];

const byId = new Map(allergenRows.map((row) => [row.id, row]));

/** What people name beyond the lists: `other:` and a word of theirs, compared as it is written. */
export const isOtherAllergen = (id: string): boolean => /^other:\S.{0,79}$/u.test(id);

/** Whether an id is one of the merged list or an `other:` of somebody's own. */
export const isAllergen = (id: string): boolean => byId.has(id) || isOtherAllergen(id);

/** The groups an allergen belongs to, the nearest first: walnut.black is in walnut, which is in tree_nut. */
export function groupsOf(id: string): string[] {
  const groups: string[] = [];
  for (let group = byId.get(id)?.within; group !== undefined; group = byId.get(group)?.within) groups.push(group);
  return groups;
}

/** Every allergen that belongs to a group, at any depth; empty for one that is no group. */
export const membersOf = (group: string): string[] =>
  allergenRows.map(({ id }) => id).filter((id) => groupsOf(id).includes(group));
