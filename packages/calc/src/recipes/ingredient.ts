import { groupsOf, isAllergen } from '../allergens/allergen-table.ts';
import { ingredientTags } from '../allergens/diets.ts';
import type { InputFault } from '../domain-error.ts';
import { invalidInput } from '../input.ts';
import { parse, sign } from '../rational.ts';

export interface IngredientDraft {
  density: string | null;
  densitySource: string | null;
  allergens: readonly string[];
  freeOf: readonly string[];
  tags: readonly string[];
}

const unknown = (list: string, ids: readonly string[], known: (id: string) => boolean, what: string): InputFault[] =>
  ids.flatMap((id, index) =>
    known(id) ? [] : [{ pointer: `#/${list}/${index}`, detail: `There is no ${what} "${id}".` }],
  );

/**
 * Refuses an ingredient whose allergens or tags would silently count for nothing, that says of one allergen both that it is in it and that it is not, or
 * whose density has no source. Allergens and tags: allergen-table.ts and diets.ts. Throws `invalid-input` with every fault at its place.
 */
export function checkIngredient({ density, densitySource, allergens, freeOf, tags }: IngredientDraft): void {
  const faults = [
    ...unknown('allergens', allergens, isAllergen, 'allergen'),
    ...unknown('freeOf', freeOf, isAllergen, 'allergen'),
    ...unknown('tags', tags, (tag) => ingredientTags.has(tag), 'tag'),
  ];
  const contained = new Set(allergens.flatMap((id) => [id, ...groupsOf(id)]));
  freeOf.forEach((id, index) => {
    if (contained.has(id)) {
      faults.push({ pointer: `#/freeOf/${index}`, detail: `Cannot contain "${id}" and be free of it.` });
    }
  });
  if (density !== null && sign(parse(density)) <= 0) {
    faults.push({ pointer: '#/density', detail: 'Must be more than nil.' });
  }
  if (density !== null && !densitySource) {
    faults.push({ pointer: '#/densitySource', detail: 'A density needs its source.' });
  }
  if (density === null && densitySource) {
    faults.push({ pointer: '#/density', detail: 'A source needs its density.' });
  }
  if (faults.length > 0) throw invalidInput(faults);
}
