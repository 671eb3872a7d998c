import { mayKnowRestrictions, rational } from '@frostmoot/calc';
import type { PlanRound, PlanRoundExplanation, PlanRoundInput } from '@frostmoot/calc';
import type { DishProposal } from '@frostmoot/contract';
import type { Actor } from '../platform/auth/actor.ts';
import { freezerMlOf } from './dish-proposal-input.ts';
import type { ProposalFacts } from './dish-proposal-input.ts';
import { perPortion } from './round-figures.ts';

/** What would use something up is told in a few lines, what is missing least first. */
const mostNext = 3;

interface Proposal {
  input: PlanRoundInput;
  plan: PlanRound;
  explanation: PlanRoundExplanation;
  costMinor: bigint | null;
}

function atHandAnswers(
  { input, plan, explanation }: Proposal,
  nameOf: (ingredientId: string) => string,
  recipeOf: (id: string) => string,
): DishProposal['atHand'] {
  return input.atHand.map(({ ingredient, quantity, unit, pack }) => {
    const left = plan.left.get(ingredient);
    const packs = Number(rational.floor(rational.div(quantity, pack)));
    const packsLeft = Number(left?.packs ?? 0n);
    const next = explanation.leftOver.find((each) => each.ingredient === ingredient)?.next ?? [];
    return {
      ingredient: { id: ingredient, name: nameOf(ingredient) },
      unit: unit.id,
      quantity: rational.shown(quantity),
      packs,
      packsUsed: packs - packsLeft,
      packsLeft,
      opened: rational.shown(left?.opened ?? rational.zero),
      left: rational.shown(left?.quantity ?? rational.zero),
      next: next.slice(0, mostNext).map(({ dish, takes, missing, obstacles }) => ({
        recipe: { id: dish, name: recipeOf(dish) },
        takes: rational.shown(takes),
        missing: rational.shown(missing),
        obstacles: obstacles.map(({ limit, over }) => ({ limit, over: rational.shown(over) })),
      })),
    };
  });
}

/** For whom there is little follows from what must not be eaten there, so not everybody is told. */
const mayKnow = ({ roles, householdId }: Actor, household: string): boolean =>
  mayKnowRestrictions({
    ownHousehold: household === householdId,
    coordinator: roles.includes('coordinator'),
    cooksForAll: false,
  });

export function proposalAnswer(
  actor: Actor,
  facts: ProposalFacts,
  proposal: Proposal,
  nameOf: (ingredientId: string) => string,
): DishProposal {
  const { plan, explanation, costMinor } = proposal;
  const recipes = new Map(facts.cookable.map((dish) => [dish.version.recipeId, dish]));
  const households = new Map(facts.eating.map(({ householdId, name }) => [householdId, name]));
  const named = (id: string) => ({ id, name: households.get(id) ?? '' });
  const dishes = facts.cookable.flatMap(({ version, portions }) => {
    const batches = plan.batches.get(version.recipeId) ?? 0;
    const { recipeId, recipe, allergens } = version;
    if (batches === 0) return [];
    return [
      { recipeId, name: recipe.name, batches, portionsPerBatch: portions, portions: batches * portions, allergens },
    ];
  });
  const portions = dishes.reduce((sum, dish) => sum + dish.portions, 0);
  return {
    proof: plan.proof,
    dishes,
    portions: rational.format(plan.portions),
    wanted: rational.format(plan.wanted),
    short: rational.format(plan.short),
    unwilling: rational.format(plan.unwilling),
    beyond: rational.format(plan.beyond),
    atHand: atHandAnswers(proposal, nameOf, (id) => recipes.get(id)?.version.recipe.name ?? ''),
    varietyWanted: Math.max(0, ...proposal.input.households.map(({ variety }) => variety)),
    varietyShort: plan.varietyShort,
    fewerDishes: explanation.fewerDishes
      .filter(({ household }) => mayKnow(actor, household))
      .map(({ household, planned, reason }) => ({ household: named(household), planned, reason })),
    shortHouseholds: explanation.short
      .filter(({ household }) => mayKnow(actor, household))
      .map(({ household, wanted, planned }) => ({
        household: named(household),
        wanted: rational.format(wanted),
        planned: rational.format(planned),
      })),
    freezerNeededMl: facts.cookable.reduce(
      (sum, { version }) => sum + (plan.batches.get(version.recipeId) ?? 0) * freezerMlOf(version),
      0,
    ),
    freezerFreeMl: facts.freezerFreeMl,
    costMinor: costMinor?.toString() ?? null,
    costPerPortionMinor: costMinor === null ? null : perPortion(rational.rational(costMinor), portions),
  };
}
