import { Injectable } from '@nestjs/common';
import { checkDoneAt, DomainError, invalidInput, requireStage } from '@frostmoot/calc';
import type { enterStepDone, workOutRunSheet } from '@frostmoot/contract';
import type { z } from 'zod';
import { RoundPlanService } from '../buying/round-plan.service.ts';
import type { Actor } from '../platform/auth/actor.ts';
import { zonedInstant } from '../platform/clock/zoned-instant.ts';
import { fromDate } from '../platform/db/dates.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { tell } from '../platform/events/tell.ts';
import { CooperativeSettings } from '../recipes/cooperative-settings.ts';
import { RoundsRepository } from '../rounds/rounds.repository.ts';
import { BatchesRepository } from './batches.repository.ts';
import { dayWorkOf, type DayWork } from './day-work.ts';
import type { RunSheetAnswer } from './run-sheet-answer.ts';
import { runSheetAnswer } from './run-sheet-answer.ts';
import { RunSheetsRepository } from './run-sheets.repository.ts';

type Typed = z.infer<typeof workOutRunSheet>;
type TypedStep = z.infer<typeof enterStepDone>;

/** The run sheet of a cook day: worked out from what is made, who cooks and what the kitchen has, and the steps that are done. */
@Injectable()
export class RunSheetService {
  constructor(
    private readonly work: UnitOfWork,
    private readonly rounds: RoundsRepository,
    private readonly plans: RoundPlanService,
    private readonly batches: BatchesRepository,
    private readonly sheets: RunSheetsRepository,
    private readonly settings: CooperativeSettings,
  ) {}

  find(actor: Actor, cookDayId: string): Promise<RunSheetAnswer> {
    return this.work.read(actor, (tx) => this.answer(tx, actor, cookDayId));
  }

  /** What is to be worked out for a cook day, with so many people from now on. Refuses what cannot be worked out. */
  async prepare(
    tx: Tx,
    actor: Actor,
    cookDayId: string,
    { people }: Typed = {},
  ): Promise<DayWork & { roundId: string }> {
    const { roundId } = await this.sheets.cookDay(tx, actor, cookDayId);
    const round = await this.rounds.lock(tx, actor, roundId);
    requireStage(round.stage, ['planning', 'buying', 'cooking'], 'A run sheet');
    if (people !== undefined) await this.sheets.setPeople(tx, actor, cookDayId, people);
    const { work } = await this.facts(tx, actor, cookDayId);
    if (work.makings.length === 0) {
      throw invalidInput([{ pointer: '#', detail: 'There is nothing to cook yet: choose the dishes first.' }]);
    }
    return { ...work, roundId };
  }

  /** A step done, or taken back, at its own time. */
  enterStep(actor: Actor, cookDayId: string, { step, act, at }: TypedStep): Promise<RunSheetAnswer> {
    return this.work.write(actor, async (tx) => {
      const { roundId } = await this.sheets.cookDay(tx, actor, cookDayId);
      const round = await this.rounds.lock(tx, actor, roundId);
      requireStage(round.stage, ['cooking', 'sharing'], 'Entering a step');
      const { work, now } = await this.facts(tx, actor, cookDayId);
      if (!work.stepKeys.has(step)) throw new DomainError('not-found', 'There is no such step on this cook day');
      const doneAt = new Date(at);
      checkDoneAt(doneAt.getTime(), now.getTime());
      const { householdId, personId: createdBy } = actor;
      await this.sheets.enterStep(tx, actor, { cookDayId, stepKey: step, act, doneAt, householdId, createdBy });
      await tell(tx, actor, 'kitchen', roundId);
      return this.answer(tx, actor, cookDayId);
    });
  }

  private async facts(tx: Tx, actor: Actor, cookDayId: string) {
    const settings = await this.settings.of(tx, actor);
    const day = await this.sheets.cookDay(tx, actor, cookDayId);
    const round = await this.rounds.find(tx, actor, day.roundId);
    const plan = await this.plans.of(tx, actor, round, settings.measures);
    const work = dayWorkOf(day, plan, await this.batches.ofRound(tx, actor, round.id));
    const startsAt = zonedInstant(fromDate(day.date), day.startsAt, settings.timeZone);
    return { day, plan, work, startsAt, ...settings };
  }

  private async answer(tx: Tx, actor: Actor, cookDayId: string): Promise<RunSheetAnswer> {
    const facts = await this.facts(tx, actor, cookDayId);
    const kept = await this.sheets.newest(tx, actor, cookDayId);
    const done = await this.sheets.done(tx, actor, cookDayId);
    return runSheetAnswer({ ...facts, kept, done });
  }
}
