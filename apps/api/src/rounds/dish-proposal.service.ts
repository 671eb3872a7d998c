import { Injectable, type OnModuleInit } from '@nestjs/common';
import { invalidInput, needsOfDishes, rational, readPlanRound, requireStage } from '@frostmoot/calc';
import type { KeptIngredient, PlanRound } from '@frostmoot/calc';
import type { DishProposal, job } from '@frostmoot/contract';
import { proposeDishes } from '@frostmoot/contract';
import { z } from 'zod';
import type { Market } from '../buying/round-plan.service.ts';
import { RoundPlanService } from '../buying/round-plan.service.ts';
import { BatchesRepository } from '../kitchen/batches.repository.ts';
import type { Actor } from '../platform/auth/actor.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { newId } from '../platform/db/ids.ts';
import type { JobOrder, Progress } from '../platform/jobs/job-handler.ts';
import { Jobs } from '../platform/jobs/jobs.service.ts';
import { SharedCalc } from '../platform/solver/shared-calc.ts';
import { CooperativeSettings } from '../recipes/cooperative-settings.ts';
import { IngredientsRepository } from '../recipes/ingredients.repository.ts';
import { stepsOf } from '../recipes/recipe-answers.ts';
import type { RecipeGraph, VersionRow } from '../recipes/recipe-graph.repository.ts';
import { keptIngredients, RecipeGraphRepository } from '../recipes/recipe-graph.repository.ts';
import { RecipesRepository } from '../recipes/recipes.repository.ts';
import { DishesRepository } from './dishes.repository.ts';
import type { Asked, Cookable, ProposalFacts } from './dish-proposal-input.ts';
import { planRoundInputOf } from './dish-proposal-input.ts';
import { proposalAnswer } from './dish-proposal.view.ts';
import { ParticipantsRepository } from './participants.repository.ts';
import { eatersOn, freezerFree, planningDay } from './round-figures.ts';
import { RoundsRepository } from './rounds.repository.ts';

/** Proposing dishes for a round. */
const DISH_PROPOSAL = 'dish-proposal';
/** Longer than any real round needs; whoever has enough stops it before and keeps the best so far. */
const PROOF_MILLISECONDS = 60_000;
/** The search before ends by a count; with tens of recipes in a second or two. */
const SEARCH_MILLISECONDS = 120_000;
/** As many as the calculation takes; a cooperative has tens. */
const MOST_RECIPES = 200;

const jobInput = z.object({ roundId: z.string(), asked: proposeDishes });

interface Known {
  facts: ProposalFacts;
  graph: RecipeGraph;
  market: Market;
}

/** Proposes dishes and batches for a round that is planned; nothing is changed until somebody saves them. */
@Injectable()
export class DishProposalService implements OnModuleInit {
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
    private readonly jobs: Jobs,
  ) {}

  onModuleInit(): void {
    this.jobs.register({
      kind: DISH_PROPOSAL,
      run: (...args) => this.run(...args),
      // What it says of households depends on who asked.
      maySee: ({ personId }, { createdBy }) => personId === createdBy,
      triesAgainAfter: [5],
    });
  }

  /** Refuses what could not be worked out before anybody waits for it. Each question is a job of its own. */
  start(actor: Actor, roundId: string, asked: Asked): Promise<z.infer<typeof job>> {
    return this.work.write(actor, async (tx) => {
      const { facts } = await this.known(tx, actor, roundId, asked);
      readPlanRound(planRoundInputOf(asked, facts));
      return this.jobs.start(tx, actor, { kind: DISH_PROPOSAL, subjectId: newId(), input: { roundId, asked } });
    });
  }

  private async run(
    { actor, input: given }: JobOrder,
    report: (progress: Progress) => void,
    stop: AbortSignal,
  ): Promise<DishProposal> {
    const { roundId, asked } = jobInput.parse(given);
    report({ stage: 1, of: 3, code: 'dishes-search' });
    const known = await this.work.read(actor, (tx) => this.known(tx, actor, roundId, asked));
    const input = planRoundInputOf(asked, known.facts);
    const { plan, explanation } = await this.calc.prove('plan-round', input, {
      ...{ milliseconds: SEARCH_MILLISECONDS + PROOF_MILLISECONDS, proofMilliseconds: PROOF_MILLISECONDS, stop },
      onFirst: (first) => report({ stage: 2, of: 3, code: 'dishes-prove', best: bestOf(first) }),
    });
    report({ stage: 3, of: 3, code: 'dishes-cost', best: bestOf(plan) });
    const costMinor = await this.costOf(known, plan);
    const proposal = { input: readPlanRound(input), plan, explanation, costMinor };
    return proposalAnswer(actor, known.facts, proposal, (id) => known.graph.ingredients.get(id)?.name ?? '');
  }

  private async costOf({ facts, graph, market }: Known, plan: PlanRound): Promise<bigint | null> {
    const chosen = facts.cookable.flatMap(({ version }) => {
      const count = plan.batches.get(version.recipeId) ?? 0;
      return count > 0 ? [{ id: version.recipeId, batches: count, versionId: version.id }] : [];
    });
    if (chosen.length === 0) return null;
    const { total } = needsOfDishes([...graph.versions.values()], facts.ingredients, chosen, facts.measures);
    return this.plans.costOfNeeds(total, facts.ingredients, market, facts.buyOn, facts.measures);
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
  const all = [...graph.versions.values()];
  const handsOn = new Map(all.map((version) => [version.id, handsOnMinutes(version)]));
  return versions.map((version) => {
    const { id } = version;
    const { total, makes } = needsOfDishes(all, ingredients, [{ id, versionId: id, batches: 1 }], measures);
    return {
      version,
      portions: version.portions ?? 0,
      needs: total,
      // Bases count as often as a batch by itself makes them, so that the hours are never more than this.
      minutes: [...makes].reduce((sum, [made, { batches }]) => sum + batches * (handsOn.get(made) ?? 0), 0),
      kept: kept.get(version.recipeId) ?? 0,
    };
  });
}

const handsOnMinutes = (version: VersionRow): number =>
  stepsOf(version).reduce((sum, { activeMinutes, hands }) => sum + activeMinutes * hands, 0);

/** Portions, and how many are short: what everybody can follow of the best so far. */
const bestOf = ({ portions, short }: PlanRound): Record<string, string> => ({
  portions: rational.format(portions),
  short: rational.format(short),
});
