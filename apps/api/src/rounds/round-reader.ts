import { Injectable } from '@nestjs/common';
import { mayKnowRestrictions, nextStage, openPoints, rational } from '@frostmoot/calc';
import type { OpenPoint, RoundState } from '@frostmoot/calc';
import type { round as roundSchema } from '@frostmoot/contract';
import type { z } from 'zod';
import { ReceiptsRepository } from '../buying/receipts.repository.ts';
import type { RoundPlan } from '../buying/round-plan.service.ts';
import { billOf, RoundPlanService } from '../buying/round-plan.service.ts';
import type { BatchRow } from '../kitchen/batches.repository.ts';
import { BatchesRepository } from '../kitchen/batches.repository.ts';
import type { Actor } from '../platform/auth/actor.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { CooperativeSettings } from '../recipes/cooperative-settings.ts';
import type { Settings } from '../recipes/cooperative-settings.ts';
import { CookDaysRepository } from './cook-days.repository.ts';
import { ParticipantsRepository } from './participants.repository.ts';
import type { Eaters } from './round-figures.ts';
import * as figures from './round-figures.ts';
import type { RoundRow } from './rounds.repository.ts';
import { RoundsRepository } from './rounds.repository.ts';

export type RoundAnswer = z.infer<typeof roundSchema>;

/** A round with everything that was read of it, for who shows it and who moves it on. */
export interface WholeRound {
  round: RoundRow;
  settings: Settings;
  plan: RoundPlan;
  batches: BatchRow[];
  eaters: Eaters;
  points: OpenPoint[];
  answer: RoundAnswer;
}

/** Puts a round together: its figures, its dishes, who eats, and what does not add up. */
@Injectable()
export class RoundReader {
  constructor(
    private readonly rounds: RoundsRepository,
    private readonly participants: ParticipantsRepository,
    private readonly cookDays: CookDaysRepository,
    private readonly plans: RoundPlanService,
    private readonly receipts: ReceiptsRepository,
    private readonly batches: BatchesRepository,
    private readonly settings: CooperativeSettings,
  ) {}

  async answer(tx: Tx, actor: Actor, roundId: string): Promise<RoundAnswer> {
    return (await this.whole(tx, actor, roundId)).answer;
  }

  async whole(tx: Tx, actor: Actor, roundId: string): Promise<WholeRound> {
    const settings = await this.settings.of(tx, actor);
    const round = await this.rounds.find(tx, actor, roundId);
    const plan = await this.plans.of(tx, actor, round, settings.measures);
    const rows = await this.participants.ofRound(tx, actor, roundId);
    const eaters = figures.eatersOn(rows, figures.planningDay(round, settings.today), round.dinners);
    const batches = await this.batches.ofRound(tx, actor, roundId);
    const households = await this.participants.households(tx, actor);
    const { freeMl, known } = figures.freezerFree(households, eaters.present, await this.batches.heldMl(tx, actor));
    const neededMl = figures.freezerNeededMl(plan.dishes, batches);
    const { receipts, spent } = await this.receipts.spentMinor(tx, actor, roundId);
    const cookDays = await this.cookDays.ofRound(tx, actor, roundId);
    const points = openPoints({
      ...(await this.state(tx, actor, round, plan, eaters, batches, settings)),
      freezerNeededMl: neededMl,
      freezerFreeMl: known ? freeMl : null,
      cookDays: cookDays.length,
      receipts,
    });
    const blocked = points.some(({ blocks }) => blocks);
    const answer: RoundAnswer = {
      ...summaryOf(round, plannedPortions(plan), madePortions(batches)),
      ...billFigures(plan),
      headcount: eaters.headcount,
      totalWeight: rational.format(eaters.totalWeight),
      portionsWanted: rational.format(eaters.portionsWanted),
      spentMinor: spent.toString(),
      freezerNeededMl: neededMl,
      freezerFreeMl: freeMl,
      dishes: figures.dishAnswers(round, plan),
      participants: figures.participantAnswers(rows, round.dinners),
      cookDays,
      openPoints: points.filter((point) => maySee(actor, point)),
      next: blocked ? null : nextStage(round.stage),
    };
    return { round, settings, plan, batches, eaters, points, answer };
  }

  /** What the open points follow from, but for what the caller has read already. */
  private async state(
    tx: Tx,
    actor: Actor,
    round: RoundRow,
    plan: RoundPlan,
    { present, portionsWanted }: Eaters,
    batches: readonly BatchRow[],
    { measures, now }: Settings,
  ): Promise<Omit<RoundState, 'freezerNeededMl' | 'freezerFreeMl' | 'cookDays' | 'receipts'>> {
    const { containers, portions, swaps } = await this.batches.openEnds(tx, actor, round.id, now);
    const isShort = rational.cmp(portionsWanted, rational.rational(BigInt(plannedPortions(plan)))) > 0;
    const batchMore = isShort
      ? await this.plans.batchMore(tx, actor, round, plan, measures)
      : new Map<string, bigint>();
    const { graph, needs, withoutOffer } = plan;
    const nameOf = (versionId: string): string => graph.versions.get(versionId)?.recipe.name ?? '';
    return {
      stage: round.stage,
      dishes: figures.dishStates(plan.dishes, batchMore),
      portionsWanted,
      participants: present,
      withoutOffer: withoutOffer.map((id) => ({
        ingredientId: id,
        name: graph.ingredients.get(id)?.name ?? '',
        needed: needs.total.get(id) ?? rational.zero,
        unit: graph.ingredients.get(id)?.baseUnit ?? '',
      })),
      openBatches: batches
        .filter(({ state }) => state === 'planned')
        .map(({ id, lotCode, recipeVersionId }) => ({ id, lotCode, name: nameOf(recipeVersionId) })),
      shareOutConfirmed: await this.batches.isSharedOut(tx, actor, round.id),
      openSwaps: swaps,
      pool: { containers, portions },
    };
  }
}

/** That nothing suits a household says something of its health, which not everybody need know. */
const maySee = ({ roles, householdId }: Actor, { code, facts }: OpenPoint): boolean =>
  code !== 'nothing-fit' ||
  mayKnowRestrictions({
    ownHousehold: facts['householdId'] === householdId,
    coordinator: roles.includes('coordinator'),
    cooksForAll: false,
  });

const plannedPortions = ({ dishes }: RoundPlan): number =>
  dishes.reduce((sum, dish) => sum + figures.portionsOf(dish), 0);

function madePortions(batches: readonly BatchRow[]): number | null {
  const entered = batches.filter(({ state }) => state !== 'planned');
  return entered.length === 0 ? null : entered.reduce((sum, { actualPortions }) => sum + (actualPortions ?? 0), 0);
}

export const summaryOf = (round: RoundRow, portionsPlanned: number, portionsMade: number | null) => ({
  ...round,
  portionsPlanned,
  portionsMade,
});

function billFigures(plan: RoundPlan): Pick<RoundAnswer, 'costMinor' | 'costPerPortionMinor'> {
  const { totalMinor } = billOf(plan);
  if (totalMinor === null || plan.dishes.length === 0) return { costMinor: null, costPerPortionMinor: null };
  return {
    costMinor: totalMinor.toString(),
    costPerPortionMinor: figures.perPortion(rational.rational(totalMinor), plannedPortions(plan)),
  };
}
