import {
  byCodeUnits,
  convertQuantity,
  countedIn,
  DomainError,
  findUnit,
  invalidInput,
  mayEat,
  offersInForce,
  packUnitOf,
  rational,
} from '@frostmoot/calc';
import type { KeptIngredient, Measures, Rational } from '@frostmoot/calc';
import type { proposeDishes } from '@frostmoot/contract';
import type { z } from 'zod';
import type { OfferRow } from '../buying/offers.repository.ts';
import { containersOf } from '../recipes/recipe-answers.ts';
import type { VersionRow } from '../recipes/recipe-graph.repository.ts';
import type { RoundParticipantRow } from './participants.repository.ts';

export type Asked = z.infer<typeof proposeDishes>;

/** A recipe that could be cooked, with what one batch takes of every ingredient in its base unit. */
export interface Cookable {
  version: VersionRow;
  portions: number;
  needs: ReadonlyMap<string, Rational>;
  /** of all hands together, its bases included */
  minutes: number;
  /** batches that are planned already and stay */
  kept: number;
}

export interface ProposalFacts {
  roundId: string;
  dinners: number;
  eating: readonly RoundParticipantRow[];
  cookable: readonly Cookable[];
  ingredients: ReadonlyMap<string, KeptIngredient>;
  offers: readonly OfferRow[];
  buyOn: string;
  freezerFreeMl: number | null;
  measures: Measures;
}

const whole = (count: number): Rational => rational.rational(BigInt(count));

/** Portions finer than a hundredth are rounded up to one: nobody is planned less than its due, and the sums stay small. */
const wantedBy = (weight: string, dinners: number): Rational =>
  rational.ceilTo(rational.mul(rational.parse(weight), whole(dinners)), rational.parse('1/100'));

export const freezerMlOf = (version: Pick<VersionRow, 'containerPlan'>): number =>
  containersOf(version).reduce((sum, { count, millilitres }) => sum + count * (millilitres ?? 0), 0);

/** One pack of what is at hand, in the ingredient's base unit. Throws with a pointer to the pack. */
function packInBase(asked: Asked['atHand'][number], index: number, facts: ProposalFacts): Rational {
  const pointer = `#/atHand/${index}`;
  const ingredient = facts.ingredients.get(asked.ingredientId);
  if (!ingredient) {
    throw invalidInput([{ pointer: `${pointer}/ingredientId`, detail: 'No recipe that could be cooked uses this.' }]);
  }
  const unit = findUnit(asked.packUnit, facts.measures);
  if (!unit) {
    const detail = `There is no unit "${asked.packUnit}".`;
    throw new DomainError('unknown-unit', detail, { errors: [{ pointer: `${pointer}/packUnit`, detail }] });
  }
  const quantity = rational.parse(asked.packQuantity);
  if (rational.isZero(quantity)) {
    throw invalidInput([{ pointer: `${pointer}/packQuantity`, detail: 'Must be more than nil.' }]);
  }
  const to = countedIn(ingredient.baseUnit);
  return convertQuantity(quantity, unit, to, ingredient.density, `${pointer}/packUnit`);
}

/** The least that a base unit of each ingredient costs in any pack of the day; a guide for choosing, since only whole packs are bought. */
function unitPrices({ offers, buyOn, ingredients, measures }: ProposalFacts): Map<string, Rational> {
  const prices = new Map<string, Rational>();
  for (const offer of offersInForce(offers, buyOn)) {
    const ingredient = ingredients.get(offer.ingredientId);
    if (!ingredient) continue;
    const to = countedIn(ingredient.baseUnit);
    const unit = packUnitOf(offer.packUnit, measures);
    const pack = convertQuantity(rational.parse(offer.packQuantity), unit, to, ingredient.density);
    if (rational.isZero(pack)) continue;
    const price = rational.div(rational.rational(offer.priceMinor), pack);
    const known = prices.get(offer.ingredientId);
    prices.set(offer.ingredientId, known ? rational.min(known, price) : price);
  }
  return prices;
}

/** What a batch costs beside what is at hand; undefined where a price is not known. */
function costOf({ needs }: Cookable, prices: ReadonlyMap<string, Rational>, isAtHand: (id: string) => boolean) {
  const bought = [...needs].filter(([id]) => !isAtHand(id));
  if (bought.some(([id]) => !prices.has(id))) return undefined;
  return rational.ceil(
    rational.sum(bought.map(([id, quantity]) => rational.mul(prices.get(id) ?? rational.zero, quantity))),
  );
}

/** The limits, never below what is kept, so that a plan that is too large already can still be looked at. */
function limitsOf({ portionsAtMost, batchesAtMost, minutesAtMost }: Asked, facts: ProposalFacts, wanted: Rational) {
  const kept = (worth: (dish: Cookable) => number): number =>
    facts.cookable.reduce((sum, dish) => sum + dish.kept * worth(dish), 0);
  const largest = facts.cookable.reduce((most, { portions }) => Math.max(most, portions), 0);
  const half = rational.max(rational.div(wanted, whole(2)), whole(largest));
  const free =
    portionsAtMost === null ? half : rational.max(rational.zero, rational.sub(whole(portionsAtMost), wanted));
  const beyond = rational.max(free, rational.sub(whole(kept(({ portions }) => portions)), wanted));
  const { freezerFreeMl } = facts;
  return {
    beyond: rational.format(beyond),
    kitchen: {
      ...(batchesAtMost === null
        ? {}
        : {
            pots: Math.max(
              batchesAtMost,
              kept(() => 1),
            ),
          }),
      ...(minutesAtMost === null
        ? {}
        : {
            minutes: Math.max(
              minutesAtMost,
              kept(({ minutes }) => minutes),
            ),
          }),
      ...(freezerFreeMl === null
        ? {}
        : {
            freezerMl: Math.max(
              freezerFreeMl,
              kept(({ version }) => freezerMlOf(version)),
            ),
          }),
    },
  };
}

/** The input of `plan-round` for a round; dishes are recipes, ingredients at hand count in their base unit. */
export function planRoundInputOf(asked: Asked, facts: ProposalFacts): object {
  const { cookable, eating, ingredients } = facts;
  const packs = asked.atHand.map((each, index) => ({ ...each, pack: packInBase(each, index, facts) }));
  const atHand = new Set(packs.map(({ ingredientId }) => ingredientId));
  const prices = unitPrices(facts);
  const unfit = (subjects: readonly string[]): string[] =>
    cookable.filter(({ version }) => !mayEat(subjects, version.unfitFor)).map(({ version }) => version.recipeId);
  const wanted = eating.map(({ weight }) => wantedBy(weight, facts.dinners));
  return {
    seed: `round ${facts.roundId}`,
    households: eating.map(({ householdId, mustNot, ratherNot }, index) => ({
      id: householdId,
      portions: rational.format(wanted[index] ?? rational.zero),
      excludes: unfit(mustNot),
      refuses: unfit(ratherNot),
      variety: asked.variety,
    })),
    dishes: cookable.map((dish) => {
      const cost = costOf(dish, prices, (id) => atHand.has(id));
      const sizes = containersOf(dish.version).map(({ portions }) => portions);
      return {
        id: dish.version.recipeId,
        portions: String(dish.portions),
        container: String(Math.min(dish.portions, ...sizes)),
        atLeast: dish.kept,
        atMost: Math.max(50, dish.kept),
        uses: [...dish.needs]
          .filter(([id]) => atHand.has(id))
          .sort(([a], [b]) => byCodeUnits(a, b))
          .map(([id, quantity]) => ({
            ingredient: id,
            quantity: rational.shown(quantity),
            unit: ingredients.get(id)?.baseUnit ?? '',
          })),
        minutes: { perBatch: dish.minutes },
        pots: 1,
        freezerMl: freezerMlOf(dish.version),
        ...(cost === undefined ? {} : { cost: cost.toString() }),
      };
    }),
    atHand: packs.map(({ ingredientId, packs: count, pack }) => ({
      ingredient: ingredientId,
      quantity: rational.format(rational.mul(pack, whole(count))),
      pack: rational.format(pack),
      unit: ingredients.get(ingredientId)?.baseUnit ?? '',
    })),
    ...limitsOf(asked, facts, rational.sum(wanted)),
  };
}
