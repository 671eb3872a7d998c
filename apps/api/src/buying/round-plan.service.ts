import { Injectable } from '@nestjs/common';
import {
  convertQuantity,
  countedIn,
  dueFees,
  needsOfDishes,
  needsWithBatchMore,
  packUnitOf,
  rational,
} from '@frostmoot/calc';
import type {
  DishBatches,
  KeptIngredient,
  Measures,
  NeedsOfDishes,
  PlannedPurchase,
  Rational,
  SellerPlan,
  SellerTerms,
} from '@frostmoot/calc';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';
import { SharedCalc } from '../platform/solver/shared-calc.ts';
import { keptIngredients, RecipeGraphRepository } from '../recipes/recipe-graph.repository.ts';
import type { RecipeGraph } from '../recipes/recipe-graph.repository.ts';
import type { DishRow } from '../rounds/dishes.repository.ts';
import { DishesRepository } from '../rounds/dishes.repository.ts';
import type { RoundRow } from '../rounds/rounds.repository.ts';
import type { WhyCheapest } from './buy-plans.repository.ts';
import { BuyPlansRepository } from './buy-plans.repository.ts';
import type { OfferRow } from './offers.repository.ts';
import { OffersRepository, termsOf } from './offers.repository.ts';
import type { PurchaseRow } from './purchases.repository.ts';
import { PurchasesRepository } from './purchases.repository.ts';

/** One line of what a round buys: proposed while it is planned, a purchase afterwards. */
export interface PlanLine extends PlannedPurchase<OfferRow> {
  purchase: PurchaseRow | null;
}

/** What the dishes of a round take, and what is bought for them. */
export interface RoundPlan {
  dishes: DishRow[];
  graph: RecipeGraph;
  needs: NeedsOfDishes;
  lines: PlanLine[];
  withoutOffer: string[];
  /** seller to its fee, once for each seller that something is bought from */
  fees: Map<string, bigint>;
  /** what the sellers ask; as it was when buying began, once it has */
  terms: SellerTerms[];
  /** what a plan that is not kept yet was made from */
  market: Market | null;
  /** why the kept plan was the cheapest */
  keptWhy: WhyCheapest | null;
}

/** A plan takes half a second at most; two are waited for inside one transaction, which has 30 seconds. */
const MILLISECONDS = 10_000;

export interface Market {
  offers: OfferRow[];
  terms: SellerTerms[];
}

export interface Bill {
  goodsMinor: Map<string, bigint | null>;
  feesMinor: bigint;
  /** null: something has no offer */
  totalMinor: bigint | null;
}

/** From the dishes of a round to quantities, packs and prices. */
@Injectable()
export class RoundPlanService {
  constructor(
    private readonly dishes: DishesRepository,
    private readonly graphs: RecipeGraphRepository,
    private readonly offers: OffersRepository,
    private readonly purchases: PurchasesRepository,
    private readonly kept: BuyPlansRepository,
    private readonly calc: SharedCalc,
  ) {}

  async of(tx: Tx, scope: Scope, round: RoundRow, measures: Measures): Promise<RoundPlan> {
    const dishes = await this.dishes.ofRound(tx, scope, round.id);
    const graph = await this.graphs.load(
      tx,
      scope,
      dishes.map(({ version }) => version.id),
    );
    const ingredients = keptIngredients(graph.ingredients.values());
    const needs = needsOfDishes([...graph.versions.values()], ingredients, dishes.map(batchesOf), measures);
    if (round.stage !== 'planning') {
      const rows = await this.purchases.ofRound(tx, scope, round.id);
      const lines = rows.map((row) => boughtLine(row, ingredients, measures));
      const kept = await this.kept.find(tx, scope, round.id);
      const terms = kept?.terms ?? (await this.feesOnly(tx, scope));
      const fees = dueFees(lines, terms);
      return { dishes, graph, needs, lines, withoutOffer: [], fees, terms, market: null, keptWhy: kept?.why ?? null };
    }
    const market = await this.market(tx, scope, [...needs.total.keys()]);
    const plan = await this.overSellers(needs.total, ingredients, market, round.buyOn, measures);
    const lines = plan.lines.map((line) => ({ ...line, purchase: null }));
    const { withoutOffer, fees } = plan;
    return { dishes, graph, needs, lines, withoutOffer, fees, terms: market.terms, market, keptWhy: null };
  }

  /** The offers and fees from which a round that is planned buys. */
  async market(tx: Tx, scope: Scope, ingredientIds: readonly string[]): Promise<Market> {
    return {
      offers: await this.offers.list(tx, scope, [...ingredientIds]),
      terms: (await this.offers.sellers(tx, scope)).map(termsOf),
    };
  }

  /** Why the plan is the cheapest: worked out while the round is planned, as it was kept afterwards. */
  async why(round: RoundRow, plan: RoundPlan, measures: Measures): Promise<WhyCheapest | null> {
    if (!plan.market) return plan.keptWhy;
    const ingredients = keptIngredients(plan.graph.ingredients.values());
    const { offers, terms } = plan.market;
    const given = { needs: plan.needs.total, ingredients, offers, terms, on: round.buyOn, measures };
    const { proof, next, only } = await this.calc.run('next-best', given, { milliseconds: MILLISECONDS });
    return {
      proof,
      next: next && { ...next, totalMinor: next.totalMinor.toString() },
      only: [...only].map(([seller, missing]) => ({ seller, ingredients: missing })),
    };
  }

  /** Keeps the plan as it is, with what the sellers ask and why it is the cheapest. */
  async keep(tx: Tx, scope: Scope, round: RoundRow, plan: RoundPlan, measures: Measures): Promise<void> {
    await this.kept.add(tx, scope, round.id, plan.terms, await this.why(round, plan, measures));
  }

  /** What is asked in a round whose plan was not kept: the fee and nothing else, as it was reckoned then. */
  private async feesOnly(tx: Tx, scope: Scope): Promise<SellerTerms[]> {
    const sellers = await this.offers.sellers(tx, scope);
    return sellers.map(({ id, feeMinor }) => ({ id, feeMinor, freeFromMinor: null, minimumMinor: 0n }));
  }

  /** What one batch more of each dish would add to the bill, where every price is known. */
  async batchMore(
    tx: Tx,
    scope: Scope,
    round: RoundRow,
    plan: RoundPlan,
    measures: Measures,
  ): Promise<Map<string, bigint>> {
    const before = billOf(plan).totalMinor;
    if (before === null || round.stage !== 'planning') return new Map();
    const ingredients = keptIngredients(plan.graph.ingredients.values());
    const market = await this.market(tx, scope, [...ingredients.keys()]);
    const needs = plan.dishes.map((dish) => needsWithBatchMore(plan.needs, batchesOf(dish)));
    const plans = await this.plansOf(needs, ingredients, market, round.buyOn, measures);
    return new Map(plan.dishes.map(({ id }, index) => [id, (plans[index]?.totalMinor ?? before) - before]));
  }

  /** What these needs cost on a day, goods and fees; null where something has no offer. */
  async costOfNeeds(
    needs: ReadonlyMap<string, Rational>,
    ingredients: ReadonlyMap<string, KeptIngredient>,
    market: Market,
    on: string,
    measures: Measures,
  ): Promise<bigint | null> {
    const { withoutOffer, totalMinor } = await this.overSellers(needs, ingredients, market, on, measures);
    return withoutOffer.length > 0 ? null : totalMinor;
  }

  private async overSellers(
    needs: ReadonlyMap<string, Rational>,
    ingredients: ReadonlyMap<string, KeptIngredient>,
    market: Market,
    on: string,
    measures: Measures,
  ): Promise<SellerPlan<OfferRow>> {
    const [plan] = await this.plansOf([needs], ingredients, market, on, measures);
    if (!plan) throw new RangeError('A plan for each of the needs.');
    return plan;
  }

  /** The plan for each of some needs, from a thread: what it gives of an offer is a copy of what it was given. */
  private plansOf(
    needs: ReadonlyMap<string, Rational>[],
    ingredients: ReadonlyMap<string, KeptIngredient>,
    { offers, terms }: Market,
    on: string,
    measures: Measures,
  ): Promise<SellerPlan<OfferRow>[]> {
    const given = { needs, ingredients, offers, terms, on, measures };
    return this.calc.run('seller-plans', given, { milliseconds: MILLISECONDS }) as Promise<SellerPlan<OfferRow>[]>;
  }
}

const batchesOf = ({ id, batches, version }: DishRow): DishBatches => ({ id, batches, versionId: version.id });

const sumOf = (amounts: Iterable<bigint>): bigint => [...amounts].reduce((a, b) => a + b, 0n);

/** A purchase in the form of a planned line; its surplus follows from what was needed when it was planned. */
function boughtLine(
  purchase: PurchaseRow,
  ingredients: ReadonlyMap<string, KeptIngredient>,
  measures: Measures,
): PlanLine {
  const { offer, packs, plannedMinor } = purchase;
  const needed = rational.parse(purchase.needed);
  const ingredient = ingredients.get(offer.ingredientId);
  const bought = ingredient ? packsIn(offer, packs, ingredient, measures) : needed;
  return {
    offer,
    ingredientId: offer.ingredientId,
    packs: BigInt(packs),
    plannedMinor,
    needed,
    surplus: rational.sub(bought, needed),
    purchase,
  };
}

function packsIn(offer: OfferRow, packs: number, ingredient: KeptIngredient, measures: Measures): Rational {
  const all = rational.mul(rational.parse(offer.packQuantity), rational.rational(BigInt(packs)));
  return convertQuantity(all, packUnitOf(offer.packUnit, measures), countedIn(ingredient.baseUnit), ingredient.density);
}

/** What the plan comes to: goods by ingredient, fees, and both together. */
export function billOf({ lines, withoutOffer, fees }: RoundPlan): Bill {
  const goodsMinor = new Map<string, bigint | null>(withoutOffer.map((id) => [id, null]));
  for (const { ingredientId, plannedMinor } of lines) {
    goodsMinor.set(ingredientId, (goodsMinor.get(ingredientId) ?? 0n) + plannedMinor);
  }
  const feesMinor = sumOf(fees.values());
  const total = sumOf(lines.map(({ plannedMinor }) => plannedMinor)) + feesMinor;
  return { goodsMinor, feesMinor, totalMinor: withoutOffer.length > 0 ? null : total };
}
