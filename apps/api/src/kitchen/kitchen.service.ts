import { Injectable } from '@nestjs/common';
import type { CoolingRule } from '@frostmoot/calc';
import {
  bestBefore,
  checkCorrection,
  checkReading,
  DomainError,
  invalidInput,
  requireStage,
  sealedContainers,
  yieldStages,
} from '@frostmoot/calc';
import type { enterReading, enterYield, kitchen, yieldEntered } from '@frostmoot/contract';
import type { z } from 'zod';
import { LedgerRepository } from '../accounts/ledger.repository.ts';
import { ReceiptsRepository } from '../buying/receipts.repository.ts';
import { RoundPlanService } from '../buying/round-plan.service.ts';
import type { Actor } from '../platform/auth/actor.ts';
import { fromDate } from '../platform/db/dates.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { tell } from '../platform/events/tell.ts';
import type { Settings } from '../recipes/cooperative-settings.ts';
import { CooperativeSettings } from '../recipes/cooperative-settings.ts';
import type { VersionRow } from '../recipes/recipe-graph.repository.ts';
import { RecipeGraphRepository } from '../recipes/recipe-graph.repository.ts';
import { CookDaysRepository } from '../rounds/cook-days.repository.ts';
import type { RoundRow } from '../rounds/rounds.repository.ts';
import { RoundsRepository } from '../rounds/rounds.repository.ts';
import { codeOf } from '../stock/container-code.ts';
import type { BatchRow } from './batches.repository.ts';
import { BatchesRepository } from './batches.repository.ts';
import type { BatchAnswer } from './kitchen-answers.ts';
import { CountedAnew } from './counted-anew.ts';
import { basesOf, batchAnswer } from './kitchen-answers.ts';

type YieldAnswer = z.infer<typeof yieldEntered>;
type Typed = z.infer<typeof enterYield>;
type TypedReading = z.infer<typeof enterReading>;

@Injectable()
export class KitchenService {
  constructor(
    private readonly work: UnitOfWork,
    private readonly rounds: RoundsRepository,
    private readonly cookDays: CookDaysRepository,
    private readonly plans: RoundPlanService,
    private readonly graphs: RecipeGraphRepository,
    private readonly receipts: ReceiptsRepository,
    private readonly ledger: LedgerRepository,
    private readonly batches: BatchesRepository,
    private readonly settings: CooperativeSettings,
    private readonly countedAnew: CountedAnew,
  ) {}

  find(actor: Actor, roundId: string): Promise<z.infer<typeof kitchen>> {
    return this.work.read(actor, async (tx) => {
      const settings = await this.settings.of(tx, actor);
      const { measures } = settings;
      const round = await this.rounds.find(tx, actor, roundId);
      const { dishes, graph, needs } = await this.plans.of(tx, actor, round, measures);
      const rows = await this.batches.ofRound(tx, actor, roundId);
      const versions = dishes.map(({ version }) => version.id);
      return {
        roundId,
        stage: round.stage,
        cookDays: await this.cookDays.ofRound(tx, actor, roundId),
        bases: basesOf(versions, graph, needs, measures),
        batches: rows.map((row) =>
          batchAnswer(row, graph.versions.get(row.recipeVersionId) as VersionRow, graph, settings),
        ),
        portionsPlanned: dishes.reduce((sum, dish) => sum + dish.batches * dish.portionsPerBatch, 0),
        portionsMade: rows.reduce((sum, { actualPortions }) => sum + (actualPortions ?? 0), 0),
      };
    });
  }

  /** What really came out, until it is shared out; entered again, it takes the place of what was entered before. */
  enterYield(actor: Actor, batchId: string, version: number, typed: Typed): Promise<YieldAnswer> {
    return this.work.write(actor, async (tx) => {
      const settings = await this.settings.of(tx, actor);
      const { roundId } = await this.batches.find(tx, actor, batchId);
      const round = await this.rounds.lock(tx, actor, roundId);
      await this.requireOpen(tx, actor, round);
      await this.requireFrozenInRound(tx, actor, round, typed.frozenOn, settings);
      // Every claim holds this account, and accounts come before containers: a claim meanwhile would count on portions that are gone.
      await this.ledger.lockAccounts(tx, actor, [{ book: 'portions', account: { kind: 'common' } }]);
      await this.batches.lockContainers(tx, actor, batchId);
      const before = await this.batches.find(tx, actor, batchId);
      const graph = await this.graphs.load(tx, actor, [before.recipeVersionId]);
      const recipe = graph.versions.get(before.recipeVersionId) as VersionRow;
      const claims = await this.countedAnew.before(tx, actor, batchId);
      await this.make(tx, actor, before, recipe, version, typed);
      const batch = await this.batches.find(tx, actor, batchId);
      const { today } = settings;
      const lost = await this.countedAnew.keep(tx, actor, { batch, dish: recipe.recipe.name, today, claims });
      await this.batches.supersedeProposal(tx, actor, roundId);
      for (const topic of ['kitchen', 'rounds', 'share-outs', 'stock'] as const) await tell(tx, actor, topic, roundId);
      const after = await this.batches.find(tx, actor, batchId);
      const claimsLost = lost.map(({ household, number, portions }) => ({
        household,
        code: codeOf(batch.lotCode, number),
        portions,
      }));
      return { ...batchAnswer(after, recipe, graph, settings), claimsLost };
    });
  }

  /** A core temperature, whenever it was measured; a device may have been offline since. */
  enterReading(actor: Actor, batchId: string, typed: TypedReading): Promise<BatchAnswer> {
    return this.work.write(actor, async (tx) => {
      const settings = await this.settings.of(tx, actor);
      const { roundId } = await this.batches.find(tx, actor, batchId);
      // Two first readings at once must not choose two rules.
      const round = await this.rounds.lock(tx, actor, roundId);
      requireStage(round.stage, yieldStages, 'Entering a reading');
      const before = await this.batches.find(tx, actor, batchId);
      const [startedAt, measuredAt] = [new Date(typed.startedAt), new Date(typed.measuredAt)];
      const log = before.probeReadings.map((row) => ({
        rule: row.rule as CoolingRule,
        startedAt: row.startedAt.getTime(),
        measuredAt: row.measuredAt.getTime(),
      }));
      const { rule, celsius, replaces: replacesId, reason } = typed;
      checkCorrection(typed, before.probeReadings);
      const times = { startedAt: startedAt.getTime(), measuredAt: measuredAt.getTime() };
      checkReading({ rule, ...times }, log, settings.now.getTime());
      const { householdId } = actor;
      const reading = { batchId, householdId, rule, startedAt, measuredAt, celsius, replacesId, reason };
      await this.batches.addReading(tx, actor, reading);
      await tell(tx, actor, 'kitchen', roundId);
      const after = await this.batches.find(tx, actor, batchId);
      const graph = await this.graphs.load(tx, actor, [after.recipeVersionId]);
      return batchAnswer(after, graph.versions.get(after.recipeVersionId) as VersionRow, graph, settings);
    });
  }

  private async make(
    tx: Tx,
    actor: Actor,
    before: BatchRow,
    recipe: VersionRow,
    version: number,
    { frozenOn, containers, note }: Typed,
  ): Promise<void> {
    const ended = before.containers.filter(({ state }) => state !== 'sealed');
    const sealed = sealedContainers(containers, ended);
    if (sealed.portions === 0 && note === '') {
      throw invalidInput([{ pointer: '#/note', detail: 'A batch that gave nothing needs a note that says why.' }]);
    }
    const state = sealed.portions === 0 ? 'thrown-away' : 'made';
    const made = { state, actualPortions: sealed.portions, frozenOn, note } as const;
    if (!(await this.batches.make(tx, actor, before.id, version, made))) {
      throw new DomainError('precondition-failed', 'Somebody else has just entered this batch');
    }
    const best = bestBefore({ frozenOn, months: recipe.months }).bestBefore;
    await this.batches.reseal(tx, actor, before.id, sealed.containers, best);
  }

  private async requireOpen(tx: Tx, actor: Actor, round: RoundRow): Promise<void> {
    if (await this.batches.isSharedOut(tx, actor, round.id)) {
      throw new DomainError('already-confirmed', 'This round is shared out; its containers stay as they are');
    }
    requireStage(round.stage, yieldStages, 'Entering what came out');
  }

  /** A wrong day would print a wrong best-before on every label. */
  private async requireFrozenInRound(
    tx: Tx,
    actor: Actor,
    round: RoundRow,
    frozenOn: string,
    { today }: Settings,
  ): Promise<void> {
    const pointer = '#/frozenOn';
    if (frozenOn > today) throw invalidInput([{ pointer, detail: `Must not be after today (${today}).` }]);
    const bought = await this.receipts.firstBoughtOn(tx, actor, round.id);
    const first = [round.buyOn, ...(bought ? [fromDate(bought)] : [])].sort()[0] ?? round.buyOn;
    if (frozenOn < first) {
      throw invalidInput([{ pointer, detail: `Nothing was bought for this round before ${first}.` }]);
    }
  }
}
