import { z } from 'zod';
import { id, instant, longText, named, rational, rationalAtLeastNil, shortText, version } from './primitives.ts';

/** What recipes are made of. Density (g/mL) only with its source. A name in neither list of allergens is not declared, which is not free from. */
export const ingredient = z
  .object({
    id,
    name: z.string(),
    baseUnit: z.enum(['g', 'mL', 'each']),
    density: rational.nullable(),
    densitySource: z.string().nullable(),
    allergens: z.array(z.string()),
    freeOf: z.array(z.string()),
    tags: z.array(z.string()),
    version,
  })
  .meta({ id: 'Ingredient' });
export const ingredients = z.object({ items: z.array(ingredient) }).meta({ id: 'Ingredients' });
/** An ingredient as typed. Errors: `conflict` name taken, `invalid-input` unknown allergen or a density without source. */
export const saveIngredient = z
  .object({
    name: shortText,
    baseUnit: z.enum(['g', 'mL', 'each']),
    density: rationalAtLeastNil.nullable().default(null),
    densitySource: z.string().trim().max(200).nullable().default(null),
    allergens: z.array(z.string().max(40)).max(40).default([]),
    freeOf: z.array(z.string().max(40)).max(40).default([]),
    tags: z.array(z.string().max(40)).max(20).default([]),
  })
  .meta({ id: 'SaveIngredient' });

/** Equal containers of one batch. */
export const containerPlan = z
  .object({
    portions: z.int().min(1).max(100),
    count: z.int().min(1).max(500),
    millilitres: z.int().min(1).max(100_000).nullable(),
  })
  .meta({ id: 'ContainerPlan' });
/** The same as typed, where the volume may be left out. */
export const saveContainerPlan = containerPlan
  .extend({ millilitres: containerPlan.shape.millilitres.default(null) })
  .meta({ id: 'SaveContainerPlan' });

/** One line of a recipe: an ingredient or another recipe's version, with its quantity. */
export const recipeLine = z
  .object({
    ingredient: named.nullable(),
    component: z.object({ versionId: id, recipeId: id, name: z.string() }).nullable(),
    quantity: rational,
    unit: z.string(),
    edibleYield: rational.nullable(),
    note: z.string(),
  })
  .meta({ id: 'RecipeLine' });

/**
 * One step: hands on for `activeMinutes`, then by itself for `passiveMinutes`. `place`: where it stands all that time; a pot as large as `potLitres`, else as the
 * recipe's. `after`: earlier steps of the recipe by their place from 0 that must have ended, null for the one before. `base`: what the recipes inside give goes in here.
 */
export const recipeStep = z
  .object({
    words: z.string(),
    activeMinutes: z.int(),
    passiveMinutes: z.int(),
    place: z.enum(['table', 'hob', 'oven', 'cooling']),
    hands: z.int(),
    potLitres: rational.nullable(),
    after: z.array(z.int()).nullable(),
    base: z.boolean(),
    thawKilograms: rational.nullable(),
  })
  .meta({ id: 'RecipeStep' });
const saveStep = z
  .object({
    words: z.string().trim().min(1).max(1000),
    activeMinutes: z.int().min(0).max(1440),
    passiveMinutes: z.int().min(0).max(2880),
    place: recipeStep.shape.place.default('table'),
    hands: z.int().min(1).max(10).default(1),
    potLitres: rationalAtLeastNil.nullable().default(null),
    after: z.array(z.int().min(0).max(59)).max(60).nullable().default(null),
    base: z.boolean().default(false),
    thawKilograms: rationalAtLeastNil.nullable().default(null),
  })
  .meta({ id: 'SaveRecipeStep' });

/** One unchangeable version of a recipe. `portions` null: only ever a component. Allergens as derived when it was made, with what was declared since. */
export const recipeVersion = z
  .object({
    id,
    number: z.int(),
    makes: z.object({ quantity: rational, unit: z.string() }),
    portions: z.int().nullable(),
    containerPlan: z.array(containerPlan),
    months: z.int(),
    monthsSource: z.string(),
    potLitres: rational.nullable(),
    notes: z.string(),
    steps: z.array(recipeStep),
    allergens: z.array(z.string()),
    /** ingredients that declare nothing, by name */
    notDeclared: z.array(z.string()),
    unfitFor: z.array(z.string()),
    /** what was added to the two lists after the version was made, by the ingredient that it was declared of */
    declaredLater: z.array(
      z.object({
        ingredient: z.string(),
        allergens: z.array(z.string()),
        unfitFor: z.array(z.string()),
        since: instant,
      }),
    ),
    lines: z.array(recipeLine),
    createdAt: instant,
  })
  .meta({ id: 'RecipeVersion' });

export const recipeSummary = z
  .object({
    id,
    name: z.string(),
    versionId: id,
    versionNumber: z.int(),
    portions: z.int().nullable(),
    containerPlan: z.array(containerPlan),
    allergens: z.array(z.string()),
    months: z.int(),
    usedIn: z.array(z.string()),
    components: z.array(z.string()),
  })
  .meta({ id: 'RecipeSummary' });
export const recipeList = z.object({ items: z.array(recipeSummary) }).meta({ id: 'RecipeList' });

/** A recipe with its current version and, as numbers, all of them. */
export const recipe = z
  .object({
    id,
    name: z.string(),
    current: recipeVersion,
    versions: z.array(z.object({ id, number: z.int(), createdAt: instant })),
    version,
  })
  .meta({ id: 'Recipe' });

const saveLine = z
  .object({
    ingredientId: id.nullable().default(null),
    componentVersionId: id.nullable().default(null),
    quantity: rationalAtLeastNil,
    unit: z.string().min(1).max(30),
    edibleYield: rationalAtLeastNil.nullable().default(null),
    note: z.string().trim().max(200).default(''),
  })
  .refine((line) => (line.ingredientId === null) !== (line.componentVersionId === null), {
    message: 'Name an ingredient or a component, and only one of them',
    path: ['ingredientId'],
  })
  .meta({ id: 'SaveRecipeLine' });

/** A version as typed. Errors: `recipe-cycle`, `too-deep`, `unknown-unit`, `density-missing`, `invalid-input` when containers do not sum to portions. */
export const saveRecipeVersion = z
  .object({
    makes: z.object({ quantity: rationalAtLeastNil, unit: z.string().min(1).max(30) }),
    portions: z.int().min(1).max(2000).nullable().default(null),
    containerPlan: z.array(saveContainerPlan).max(20).default([]),
    months: z.int().min(1).max(24),
    monthsSource: z.string().trim().min(1).max(200),
    potLitres: rationalAtLeastNil.nullable().default(null),
    notes: longText.default(''),
    steps: z
      .array(saveStep)
      .max(60)
      .refine((steps) => steps.every(({ after }, index) => (after ?? []).every((earlier) => earlier < index)), {
        message: 'A step can only wait for steps before it',
      })
      .default([]),
    lines: z.array(saveLine).min(1).max(100),
  })
  .meta({ id: 'SaveRecipeVersion' });

/** A new recipe with its first version. */
export const createRecipe = saveRecipeVersion.extend({ name: shortText }).meta({ id: 'CreateRecipe' });

/** A recipe's lines at another number of portions, in exact quantities and kitchen measures. */
export const scaledRecipe = z
  .object({
    recipeId: id,
    versionId: id,
    portions: rational,
    factor: rational,
    lines: z.array(
      z.object({ name: z.string(), exact: rational, unit: z.string(), say: z.string(), note: z.string() }),
    ),
  })
  .meta({ id: 'ScaledRecipe' });
