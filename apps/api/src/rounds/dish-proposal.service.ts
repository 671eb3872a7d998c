import { Injectable } from '@nestjs/common';
import {
  canonicalJson,
  explainPlanRound,
  invalidInput,
  needsOfDishes,
  planRoundProved,
  rational,
  readPlanRound,
  requireStage,
  verifyPlanRound,
  writePlanRound,
} from '@frostmoot/calc';
import type { KeptIngredient, PlanRound } from '@frostmoot/calc';
import type { Market } from '../buying/round-plan.service.ts';
import { costOfNeeds, RoundPlanService } from '../buying/round-plan.service.ts';
import { BatchesRepository } from '../kitchen/batches.repository.ts';
import type { Actor } from '../platform/auth/actor.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { SharedCalc } from '../platform/solver/shared-calc.ts';
import { SharedSolver } from '../platform/solver/shared-solver.ts';
import { CooperativeSettings } from '../recipes/cooperative-settings.ts';
import { IngredientsRepository } from '../recipes/ingredients.repository.ts';
import type { RecipeGraph } from '../recipes/recipe-graph.repository.ts';
import { keptIngredients, RecipeGraphRepository } from '../recipes/recipe-graph.repository.ts';
import { RecipesRepository } from '../recipes/recipes.repository.ts';
import { DishesRepository } from './dishes.repository.ts';
import type { Asked, Cookable, ProposalFacts } from './dish-proposal-input.ts';
import { planRoundInputOf } from './dish-proposal-input.ts';
import type { ProposalAnswer } from './dish-proposal.view.ts';
import { proposalAnswer } from './dish-proposal.view.ts';
import { ParticipantsRepository } from './participants.repository.ts';
import { eatersOn, freezerFree, planningDay } from './round-figures.ts';
import { RoundsRepository } from './rounds.repository.ts';

/** How long a person waits for the proof that nothing is better; a good plan is there before. */
const PROOF_MILLISECONDS = 5000;
/** The search before ends by a count; with tens of recipes in a second or two. */
const SEARCH_MILLISECONDS = 120_000;
/** As many as the calculation takes; a cooperative has tens. */
const MOST_RECIPES = 200;

interface Known {
  facts: ProposalFacts;
  graph: RecipeGraph;
  market: Market;
}

/** Proposes dishes and batches for a round that is planned; nothing is changed until somebody saves them. */
@Injectable()
export class DishProposalService {
  constructor(
    private readonly work: UnitOfWork,
    private readonly rounds: RoundsRepository,
    private readonly dishes: DishesRepository,
    private readonly participants: ParticipantsRepository,
    private readonly recipes: RecipesRepository,
    private readonly ingredients: IngredientsRepository,
    private readonly graphs: RecipeGraphRepository,
    private readonly batches: BatchesRepository,
    private readonly plans: RoundPlanService,
    private readonly settings: CooperativeSettings,
    private readonly calc: SharedCalc,
    private readonly solver: SharedSolver,
  ) {}

  async propose(actor: Actor, roundId: string, asked: Asked): Promise<ProposalAnswer> {
    const { facts, graph, market } = await this.work.read(actor, (tx) => this.known(tx, actor, roundId, asked));
    const given = planRoundInputOf(asked, facts);
    const input = readPlanRound(given);
    const limits = { milliseconds: PROOF_MILLISECONDS };
    const begun = await this.calc.run('plan-round', given, { milliseconds: SEARCH_MILLISECONDS });
    const plan = await planRoundProved(input, this.solver.within(PROOF_MILLISECONDS), limits, begun);
    requireVerified(given, plan);
    const chosen = facts.cookable.flatMap(({ version }) => {
      const count = plan.batches.get(version.recipeId) ?? 0;
      return count > 0 ? [{ id: version.recipeId, batches: count, versionId: version.id }] : [];
    });
    const { total } = needsOfDishes([...graph.versions.values()], facts.ingredients, chosen, facts.measures);
    const costMinor =
      chosen.length === 0 ? null : costOfNeeds(total, facts.ingredients, market, facts.buyOn, facts.measures);
    const proposal = { input, plan, explanation: explainPlanRound(plan, input), costMinor };
    return proposalAnswer(actor, facts, proposal, (id) => graph.ingredients.get(id)?.name ?? '');
  }

  private async known(tx: Tx, actor: Actor, roundId: string, asked: Asked): Promise<Known> {
    const { measures, today } = await this.settings.of(tx, actor);
    const round = await this.rounds.find(tx, actor, roundId);
    requireStage(round.stage, ['planning'], 'Proposing dishes');
    await this.requireIngredients(tx, actor, asked);
    const rows = await this.participants.ofRound(tx, actor, roundId);
    const { present } = eatersOn(rows, planningDay(round, today), round.dinners);
    const households = await this.participants.households(tx, actor);
    const space = freezerFree(households, present, await this.batches.heldMl(tx, actor));
    const kept = new Map(
      asked.keep
        ? (await this.dishes.ofRound(tx, actor, roundId)).map((dish) => [dish.version.recipeId, dish.batches])
        : [],
    );
    const ids = (await this.recipes.list(tx, actor)).slice(0, MOST_RECIPES).map(({ id }) => id);
    const current = await this.recipes.currentVersions(tx, actor, ids);
    const graph = await this.graphs.load(tx, actor, [...current.values()]);
    const ingredients = keptIngredients(graph.ingredients.values());
    const market = await this.plans.market(tx, actor, [...ingredients.keys()]);
    const facts = {
      roundId,
      dinners: round.dinners,
      eating: present.filter(({ weight }) => !rational.isZero(rational.parse(weight))),
      cookable: cookableIn(graph, ids, current, kept, ingredients, measures),
      ingredients,
      offers: market.offers,
      buyOn: round.buyOn,
      freezerFreeMl: space.known ? space.freeMl : null,
      measures,
    };
    return { facts, graph, market };
  }

  /** What is at hand must be of this cooperative, and be named once. */
  private async requireIngredients(tx: Tx, actor: Actor, { atHand }: Asked): Promise<void> {
    const ids = atHand.map(({ ingredientId }) => ingredientId);
    const known = new Set((await this.ingredients.byIds(tx, actor, ids)).map(({ id }) => id));
    const faults = ids.flatMap((id, index) => {
      const pointer = `#/atHand/${index}/ingredientId`;
      if (!known.has(id)) return [{ pointer, detail: 'There is no such ingredient.' }];
      return ids.indexOf(id) < index ? [{ pointer, detail: 'Is there twice.' }] : [];
    });
    if (faults.length > 0) throw invalidInput(faults);
  }
}

/** The recipes that give portions, with what one batch of each takes. */
function cookableIn(
  graph: RecipeGraph,
  ids: readonly string[],
  current: ReadonlyMap<string, string>,
  kept: ReadonlyMap<string, number>,
  ingredients: ReadonlyMap<string, KeptIngredient>,
  measures: ProposalFacts['measures'],
): Cookable[] {
  const versions = ids.flatMap((id) => {
    const version = graph.versions.get(current.get(id) ?? '');
    return version && version.portions !== null ? [version] : [];
  });
  const one = versions.map(({ id }) => ({ id, versionId: id, batches: 1 }));
  const { byDish } = needsOfDishes([...graph.versions.values()], ingredients, one, measures);
  return versions.map((version) => ({
    version,
    portions: version.portions ?? 0,
    needs: byDish.get(version.id) ?? new Map(),
    kept: kept.get(version.recipeId) ?? 0,
  }));
}

/** Nothing is proposed that the verifier, which plans nothing itself, does not agree with. */
function requireVerified(given: object, plan: PlanRound): void {
  const violations = verifyPlanRound(given, writePlanRound(plan));
  if (violations.length > 0) throw new Error(`A plan does not verify: ${canonicalJson(violations)}`);
}
