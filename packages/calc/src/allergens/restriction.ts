import { groupsOf, isAllergen, membersOf } from './allergen-table.ts';
import { dietOf, impliedTags } from './diets.ts';

/** What is known of an ingredient. An allergen in neither list is not declared, which is not the same as free from it. */
export interface Declared {
  allergens: readonly string[];
  freeOf?: readonly string[];
  tags?: readonly string[];
}

/**
 * How an ingredient or dish stands to a restriction, the gravest first: it contains the allergen; it may contain it, because only its group was
 * declared ("mixed nuts"); nothing was declared; it was declared free from it.
 */
export type Standing = 'contains' | 'may-contain' | 'not-declared' | 'free';

const gravity: readonly Standing[] = ['contains', 'may-contain', 'not-declared', 'free'];

/** The graver of two standings. */
export const graver = (a: Standing, b: Standing): Standing => (gravity.indexOf(a) <= gravity.indexOf(b) ? a : b);

const isFree = (allergen: string, freeOf: ReadonlySet<string>): boolean => {
  if (freeOf.has(allergen) || groupsOf(allergen).some((group) => freeOf.has(group))) return true;
  const members = membersOf(allergen);
  return members.length > 0 && members.every((member) => freeOf.has(member));
};

function standingToAllergen(allergen: string, { allergens, freeOf = [] }: Declared): Standing {
  const declared = new Set(allergens);
  const reaches = (id: string): boolean => id === allergen || groupsOf(id).includes(allergen);
  if (allergens.some(reaches)) return 'contains';
  const free = new Set(freeOf);
  if (isFree(allergen, free)) return 'free';
  return groupsOf(allergen).some((group) => declared.has(group)) ? 'may-contain' : 'not-declared';
}

function standingToDiet(dietId: string, declared: Declared): Standing {
  const diet = dietOf(dietId);
  if (!diet) return 'not-declared';
  const tags = new Set((declared.tags ?? []).flatMap(impliedTags));
  if (diet.tags.some((tag) => tags.has(tag))) return 'contains';
  const byAllergen = diet.allergens.map((allergen) => standingToAllergen(allergen, declared));
  return byAllergen.includes('contains') ? 'contains' : 'not-declared';
}

/** Whether a restriction can be judged: an allergen of the list, an `other:` of somebody's own, or a diet. */
export const isRestriction = (id: string): boolean => isAllergen(id) || dietOf(id) !== undefined;

/**
 * How what was declared of one ingredient stands to a restriction.
 * Method: a declared allergen counts for itself and for its groups (wheat is gluten); a declared group without its member leaves every member
 * possible (mixed nuts may contain cashew), while a declared member says nothing of the others (almond is not cashew). Source of the groups:
 * allergen-table.ts; diets by tags (diets.ts). `restriction`: allergen or diet id; `declared`: as written on the ingredient. A severe
 * allergy is for a physician's advice, not for a list: what is not declared is never called free.
 */
export function standingOf(restriction: string, declared: Declared): Standing {
  return dietOf(restriction) ? standingToDiet(restriction, declared) : standingToAllergen(restriction, declared);
}

/** Whether somebody with this restriction must not eat it: it contains what is restricted, or may because only the group is known. */
export function conflicts(restriction: string, declared: Declared): boolean {
  const standing = standingOf(restriction, declared);
  return standing === 'contains' || standing === 'may-contain';
}
