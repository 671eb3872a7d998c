import type { z } from 'zod';
import type { ingredient, offer, recipe, round, seller } from '@frostmoot/contract';
import type { Client } from '../api/harness.ts';
import type { BuiltCooperative } from './cooperative.ts';

type Named = { id: string };
export type RoundAnswer = z.infer<typeof round>;
type Fields = Record<string, unknown>;

export interface Pantry {
  ingredients: Record<string, Named>;
  recipes: Record<string, z.infer<typeof recipe>>;
  sellers: Record<string, Named>;
  offers: Record<string, Named>;
}

export const quality = { months: 3, monthsSource: 'Invented for this test' };

/** The present in these tests: a Saturday, in Madrid. */
export const NOW = new Date('2026-11-28T10:00:00.000Z');
export const DATES = {
  planUntil: '2026-11-20',
  buyOn: '2026-11-26',
  cookOn: '2026-11-28',
  shareOn: '2026-11-29',
  swapUntil: '2026-12-04',
  settleOn: '2026-12-08',
};

export const addIngredient = (who: Client, path: string, fields: Fields): Promise<z.infer<typeof ingredient>> =>
  who.ok('POST', `${path}/ingredients`, fields);
export const addRecipe = (who: Client, path: string, fields: Fields): Promise<z.infer<typeof recipe>> =>
  who.ok('POST', `${path}/recipes`, { ...quality, ...fields });
const addSeller = (who: Client, path: string, fields: Fields): Promise<z.infer<typeof seller>> =>
  who.ok('POST', `${path}/sellers`, fields);
export const addOffer = (who: Client, path: string, fields: Fields): Promise<z.infer<typeof offer>> =>
  who.ok('POST', `${path}/offers`, { validFrom: '2026-11-01', label: 'A pack', ...fields });

/** Households of three weights: Birch has somebody who must not have milk, Cedar nobody who eats meat. Weights 2, 2 and 5/2. */
export const HOUSEHOLDS = [
  { name: 'Alder', freezerMl: 60_000 },
  {
    name: 'Birch',
    freezerMl: 30_000,
    diners: [{}, { ageBand: 'child' as const, hard: ['milk'] }, { ageBand: 'child' as const }],
  },
  {
    name: 'Cedar',
    freezerMl: 20_000,
    diners: [{ hard: ['no_meat'] }, { hard: ['no_meat'] }, { ageBand: 'child' as const, wish: ['egg'] }],
  },
];

/** Seven ingredients, a base that is eaten by itself and used in two dishes, two sellers with their prices. */
export async function stockPantry({ coordinator: who, path }: BuiltCooperative): Promise<Pantry> {
  const ingredients: Pantry['ingredients'] = {};
  for (const fields of [
    { name: 'Tomatoes', baseUnit: 'g', freeOf: ['milk'] },
    { name: 'Onions', baseUnit: 'g' },
    { name: 'Oil', baseUnit: 'mL', density: '0.9', densitySource: 'Weighed for this test' },
    { name: 'Mince', baseUnit: 'g', tags: ['beef'] },
    { name: 'Lentils', baseUnit: 'g' },
    { name: 'Cream', baseUnit: 'mL', allergens: ['milk'] },
  ]) {
    ingredients[fields.name] = await addIngredient(who, path, fields);
  }
  const line = (name: string, quantity: string, unit: string, more: Fields = {}): Fields => ({
    ingredientId: ingredients[name]?.id,
    quantity,
    unit,
    ...more,
  });
  const base = await addRecipe(who, path, {
    name: 'Red base',
    makes: { quantity: '10', unit: 'L' },
    portions: 20,
    containerPlan: [{ portions: 4, count: 5, millilitres: 2000 }],
    lines: [line('Tomatoes', '8', 'kg', { edibleYield: '0.8' }), line('Onions', '1', 'kg'), line('Oil', '200', 'mL')],
  });
  const ofBase = (quantity: string): Fields => ({ componentVersionId: base.current.id, quantity, unit: 'L' });
  const mincePot = await addRecipe(who, path, {
    name: 'Mince pot',
    makes: { quantity: '8', unit: 'L' },
    portions: 16,
    containerPlan: [{ portions: 4, count: 4, millilitres: 2000 }],
    lines: [ofBase('4'), line('Mince', '3', 'kg'), line('Oil', '90', 'g')],
  });
  const lentilCream = await addRecipe(who, path, {
    name: 'Lentil cream',
    makes: { quantity: '6', unit: 'kg' },
    portions: 12,
    containerPlan: [
      { portions: 2, count: 4, millilitres: 1000 },
      { portions: 4, count: 1, millilitres: 2000 },
    ],
    lines: [ofBase('3'), line('Lentils', '1500', 'g'), line('Cream', '0.5', 'L')],
  });
  const recipes = { 'Red base': base, 'Mince pot': mincePot, 'Lentil cream': lentilCream };
  const sellers: Pantry['sellers'] = {
    Mill: await addSeller(who, path, { name: 'Mill', feeMinor: '250' }),
    Cart: await addSeller(who, path, { name: 'Cart' }),
  };
  const offers: Pantry['offers'] = {};
  for (const [label, sellerName, name, packQuantity, packUnit, priceMinor, catchWeight] of [
    ['Tomatoes, 2.5 kg', 'Mill', 'Tomatoes', '2.5', 'kg', '379', false],
    ['Tomatoes, crate', 'Mill', 'Tomatoes', '10', 'kg', '1517', false],
    ['Onions, 1 kg', 'Mill', 'Onions', '1', 'kg', '95', false],
    ['Onions, 2 kg', 'Cart', 'Onions', '2', 'kg', '185', false],
    ['Oil, bottle', 'Mill', 'Oil', '500', 'mL', '460', false],
    ['Mince, tray', 'Mill', 'Mince', '3.2', 'kg', '2592', true],
    ['Lentils, 500 g', 'Cart', 'Lentils', '500', 'g', '170', false],
    ['Cream, pot', 'Cart', 'Cream', '250', 'mL', '120', false],
  ] as const) {
    const ids = { sellerId: sellers[sellerName]?.id, ingredientId: ingredients[name]?.id };
    offers[label] = await addOffer(who, path, { ...ids, label, packQuantity, packUnit, priceMinor, catchWeight });
  }
  return { ingredients, recipes, sellers, offers };
}

/** A round of all three dishes, one batch each, for eight dinners. */
export async function startRound(
  { coordinator: who, path }: BuiltCooperative,
  { recipes }: Pantry,
  fields: Fields = {},
): Promise<RoundAnswer> {
  const made = await who.ok<RoundAnswer>('POST', `${path}/rounds`, { ...DATES, dinners: 8, ...fields });
  const dishes = Object.values(recipes).map(({ id }) => ({ recipeId: id, batches: 1 }));
  return who.ok('PUT', `${path}/rounds/${made.id}/dishes`, { dishes }, { ifMatch: made.version });
}

/** Takes the round to its next stage. */
export async function moveOn(
  { coordinator: who, path }: BuiltCooperative,
  roundId: string,
  to: string,
): Promise<RoundAnswer> {
  const { version } = await who.ok<RoundAnswer>('GET', `${path}/rounds/${roundId}`);
  return who.ok('POST', `${path}/rounds/${roundId}/stage`, { to }, { ifMatch: version });
}
