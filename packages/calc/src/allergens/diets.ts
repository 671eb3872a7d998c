/** A diet: what it leaves out, by the tags of ingredients and by declared allergens that cannot come from anything else. */
export interface DietRow {
  id: string;
  tags: readonly string[];
  allergens: readonly string[];
}

/** Tags of ingredients that diets ask about, each with the wider tag that it implies. */
export const ingredientTags: ReadonlyMap<string, string | undefined> = new Map([
  ['meat', undefined],
  ['pork', 'meat'],
  ['beef', 'meat'],
  ['lamb', 'meat'],
  ['poultry', 'meat'],
  ['fish', undefined],
  ['shellfish', undefined],
  ['gelatine', undefined],
  ['dairy', undefined],
  ['egg', undefined],
  ['honey', undefined],
  ['alcohol', undefined],
]);

/**
 * Diets that can be judged from what is in a dish. The ids and what they leave out are our decision; a religious rule also asks how food was
 * produced, which no list of ingredients can tell, so there is none here by that name.
 */
export const dietRows: readonly DietRow[] = [
  { id: 'no_meat', tags: ['meat', 'gelatine'], allergens: [] },
  {
    id: 'no_meat_or_fish',
    tags: ['meat', 'gelatine', 'fish', 'shellfish'],
    allergens: ['fish', 'crustacean', 'mollusc'],
  },
  { id: 'no_pork', tags: ['pork', 'gelatine'], allergens: [] },
  { id: 'no_beef', tags: ['beef', 'gelatine'], allergens: [] },
  { id: 'no_alcohol', tags: ['alcohol'], allergens: [] },
  {
    id: 'vegan',
    tags: ['meat', 'gelatine', 'fish', 'shellfish', 'dairy', 'egg', 'honey'],
    allergens: ['fish', 'crustacean', 'mollusc', 'milk', 'egg'],
  },
];

const byId = new Map(dietRows.map((row) => [row.id, row]));

/** The diet with this id, if there is one. */
export const dietOf = (id: string): DietRow | undefined => byId.get(id);

/** A tag and what it implies: pork is meat. */
export function impliedTags(tag: string): string[] {
  const wider = ingredientTags.get(tag);
  return wider === undefined ? [tag] : [tag, ...impliedTags(wider)];
}
