import { Injectable } from '@nestjs/common';
import { DomainError, familiarUnitName, rational, requireStage } from '@frostmoot/calc';
import type { Measures } from '@frostmoot/calc';
import type { buying, purchase } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { tell } from '../platform/events/tell.ts';
import { CooperativeSettings } from '../recipes/cooperative-settings.ts';
import { RoundsRepository } from '../rounds/rounds.repository.ts';
import type { WhyCheapest } from './buy-plans.repository.ts';
import { OffersRepository } from './offers.repository.ts';
import { PurchasesRepository } from './purchases.repository.ts';
import { ReceiptReader } from './receipt-reader.ts';
import type { PlanLine, RoundPlan } from './round-plan.service.ts';
import { RoundPlanService } from './round-plan.service.ts';

type PurchaseAnswer = z.infer<typeof purchase>;
type BuyingAnswer = z.infer<typeof buying>;

@Injectable()
export class BuyingService {
  constructor(
    private readonly work: UnitOfWork,
    private readonly rounds: RoundsRepository,
    private readonly plans: RoundPlanService,
    private readonly purchases: PurchasesRepository,
    private readonly reader: ReceiptReader,
    private readonly settings: CooperativeSettings,
    private readonly offers: OffersRepository,
  ) {}

  find(actor: Actor, roundId: string): Promise<BuyingAnswer> {
    return this.work.read(actor, async (tx) => {
      const { measures } = await this.settings.of(tx, actor);
      const round = await this.rounds.find(tx, actor, roundId);
      const plan = await this.plans.of(tx, actor, round, measures);
      const paid = await this.purchases.paid(tx, actor, roundId);
      const receipts = await this.reader.ofRound(tx, actor, roundId, measures);
      const lists = listsOf(plan, paid, measures);
      return {
        roundId,
        stage: round.stage,
        plannedMinor: sumText(lists.map((list) => list.plannedMinor)),
        spentMinor: sumText(receipts.map((receipt) => receipt.totalMinor)),
        lists,
        why: whyAnswer(await this.plans.why(round, plan, measures), await this.offers.names(tx, actor)),
        missing: missingOf(plan),
        receipts,
      };
    });
  }

  tick(actor: Actor, purchaseId: string, version: number, bought: boolean): Promise<PurchaseAnswer> {
    return this.work.write(actor, async (tx) => {
      const { measures, now } = await this.settings.of(tx, actor);
      const { roundId } = await this.purchases.find(tx, actor, purchaseId);
      const round = await this.rounds.lock(tx, actor, roundId);
      requireStage(round.stage, ['buying', 'cooking', 'sharing'], 'Ticking off');
      if (!(await this.purchases.tick(tx, actor, purchaseId, version, bought ? now : null))) {
        throw new DomainError('precondition-failed', 'Somebody else has just changed this line');
      }
      await tell(tx, actor, 'buying', roundId);
      const plan = await this.plans.of(tx, actor, round, measures);
      const paid = await this.purchases.paid(tx, actor, roundId);
      const line = plan.lines.find((each) => each.purchase?.id === purchaseId);
      return purchaseAnswer(line as PlanLine, plan, paid, measures);
    });
  }
}

const sumText = (amounts: readonly string[]): string =>
  amounts.reduce((sum, text) => sum + BigInt(text), 0n).toString();

function purchaseAnswer(
  { offer, packs, plannedMinor, needed, surplus, purchase: row }: PlanLine,
  { graph }: RoundPlan,
  paid: ReadonlyMap<string, bigint>,
  measures: Measures,
): PurchaseAnswer {
  return {
    id: row?.id ?? null,
    offerId: offer.id,
    ingredient: offer.ingredient,
    label: offer.label,
    packQuantity: offer.packQuantity,
    packUnit: familiarUnitName(offer.packUnit, measures),
    packs: Number(packs),
    priceMinor: offer.priceMinor.toString(),
    plannedMinor: plannedMinor.toString(),
    catchWeight: offer.catchWeight,
    needed: rational.format(needed),
    neededUnit: graph.ingredients.get(offer.ingredientId)?.baseUnit ?? '',
    surplus: rational.shown(surplus),
    bought: row?.bought ?? false,
    paidMinor: row ? (paid.get(row.id)?.toString() ?? null) : null,
    version: row?.version ?? null,
  };
}

/** One list for each seller by name, its lines by ingredient; what is planned includes the seller's fee. */
function listsOf(plan: RoundPlan, paid: ReadonlyMap<string, bigint>, measures: Measures): BuyingAnswer['lists'] {
  const sellers = new Map(plan.lines.map(({ offer }) => [offer.sellerId, offer.seller]));
  const lists = [...sellers.values()].map((seller) => {
    const mine = plan.lines.filter(({ offer }) => offer.sellerId === seller.id);
    const fee = plan.fees.get(seller.id) ?? 0n;
    const asks = plan.terms.find(({ id }) => id === seller.id);
    const goods = mine.reduce((sum, { plannedMinor }) => sum + plannedMinor, 0n);
    const lines = mine.map((line) => purchaseAnswer(line, plan, paid, measures));
    return {
      seller,
      goodsMinor: goods.toString(),
      feeMinor: fee.toString(),
      asksMinor: (asks?.feeMinor ?? fee).toString(),
      freeFromMinor: asks?.freeFromMinor?.toString() ?? null,
      minimumMinor: (asks?.minimumMinor ?? 0n).toString(),
      plannedMinor: (goods + fee).toString(),
      lines: lines.sort((a, b) => a.ingredient.name.localeCompare(b.ingredient.name)),
    };
  });
  return lists.sort((a, b) => a.seller.name.localeCompare(b.seller.name));
}

/** The names that a kept comparison is told with; what has gone since is told without. */
function whyAnswer(why: WhyCheapest | null, names: ReadonlyMap<string, string>): BuyingAnswer['why'] {
  if (!why) return null;
  const named = (id: string) => ({ id, name: names.get(id) ?? '' });
  const { proof, next, only } = why;
  return {
    proof,
    next: next && { without: named(next.without), sellers: next.sellers.map(named), totalMinor: next.totalMinor },
    only: only.map(({ seller, ingredients }) => ({ seller: named(seller), ingredients: ingredients.map(named) })),
  };
}

const missingOf = ({ withoutOffer, graph, needs }: RoundPlan): BuyingAnswer['missing'] =>
  withoutOffer
    .map((id) => ({
      ingredient: { id, name: graph.ingredients.get(id)?.name ?? '' },
      needed: rational.format(needs.total.get(id) ?? rational.zero),
      unit: graph.ingredients.get(id)?.baseUnit ?? '',
    }))
    .sort((a, b) => a.ingredient.name.localeCompare(b.ingredient.name));
