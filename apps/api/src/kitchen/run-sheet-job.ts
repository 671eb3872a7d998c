import { Injectable, type OnModuleInit } from '@nestjs/common';
import { DomainError } from '@frostmoot/calc';
import type { RunSheetResult } from '@frostmoot/calc';
import type { job, workOutRunSheet } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { tell } from '../platform/events/tell.ts';
import type { JobOrder, Progress } from '../platform/jobs/job-handler.ts';
import { Jobs } from '../platform/jobs/jobs.service.ts';
import { SharedCalc } from '../platform/solver/shared-calc.ts';
import { RunSheetService } from './run-sheet.service.ts';
import { RunSheetsRepository } from './run-sheets.repository.ts';

/** Working out the run sheet of a cook day. */
const RUN_SHEET = 'run-sheet';
/** The search ends by a count before that, also on a slow machine. */
const SEARCH_MILLISECONDS = 120_000;
/** For the proof that no day is shorter, which often finds one that is; whoever has enough stops it before. */
const PROOF_MILLISECONDS = 30_000;
/** Times that it is worked out anew because the day has changed meanwhile; then it is kept, and the screen says that it is an old one. */
const MOST_AGAIN = 2;

/** Works a run sheet out in a thread of its own. Each one that is worked out is kept, the newest counts; stopped before there is a day, the one before stays. */
@Injectable()
export class RunSheetJob implements OnModuleInit {
  constructor(
    private readonly unitOfWork: UnitOfWork,
    private readonly jobs: Jobs,
    private readonly calc: SharedCalc,
    private readonly runSheets: RunSheetService,
    private readonly rows: RunSheetsRepository,
  ) {}

  onModuleInit(): void {
    // Everybody who cooks waits for it.
    this.jobs.register({ kind: RUN_SHEET, run: (...args) => this.run(...args), maySee: () => true });
  }

  start(actor: Actor, cookDayId: string, typed: z.infer<typeof workOutRunSheet>): Promise<z.infer<typeof job>> {
    return this.unitOfWork.write(actor, async (tx) => {
      const { roundId } = await this.runSheets.prepare(tx, actor, cookDayId, typed);
      if (typed.people !== undefined) await tell(tx, actor, 'kitchen', roundId);
      return this.jobs.start(tx, actor, { kind: RUN_SHEET, subjectId: cookDayId, input: {} });
    });
  }

  private async run(
    { actor, subjectId }: JobOrder,
    report: (progress: Progress) => void,
    signal: AbortSignal,
  ): Promise<{ minutes: number; proof: string }> {
    if (subjectId === null) throw new DomainError('not-found', 'A run sheet is of a cook day');
    for (let again = 0; ; again += 1) {
      report({ stage: 1, of: 3, code: again === 0 ? 'run-sheet-search' : 'run-sheet-again' });
      const { input, basis } = await this.unitOfWork.write(actor, (tx) => this.runSheets.prepare(tx, actor, subjectId));
      const result = await this.workOut(input, report, signal);
      report({ stage: 3, of: 3, code: 'run-sheet-keep', best: bestOf(result) });
      const mustHold = again < MOST_AGAIN && !signal.aborted;
      const isKept = await this.keep(actor, subjectId, { input, result }, mustHold ? basis : null);
      if (isKept) return { minutes: result.minutes, proof: result.proof };
    }
  }

  /** Stopped before there is a day it is given up; afterwards the best so far is the result. */
  private async workOut(
    input: object,
    report: (progress: Progress) => void,
    stop: AbortSignal,
  ): Promise<RunSheetResult> {
    const givenUp = new AbortController();
    const giveUp = (): void => givenUp.abort();
    if (stop.aborted) giveUp();
    stop.addEventListener('abort', giveUp);
    try {
      return await this.calc.prove('run-sheet', input, {
        milliseconds: SEARCH_MILLISECONDS + PROOF_MILLISECONDS,
        proofMilliseconds: PROOF_MILLISECONDS,
        cancel: givenUp.signal,
        stop,
        onFirst: (best) => {
          stop.removeEventListener('abort', giveUp);
          report({ stage: 2, of: 3, code: 'run-sheet-prove', best: bestOf(best) });
        },
      });
    } finally {
      stop.removeEventListener('abort', giveUp);
    }
  }

  /** Keeps it, unless the day is no longer the one that it was worked out for. */
  private keep(
    actor: Actor,
    cookDayId: string,
    sheet: { input: object; result: RunSheetResult },
    basis: string | null,
  ): Promise<boolean> {
    return this.unitOfWork.write(actor, async (tx) => {
      const now = await this.runSheets.prepare(tx, actor, cookDayId);
      if (basis !== null && now.basis !== basis) return false;
      await this.rows.keep(tx, actor, { cookDayId, ...sheet, createdBy: actor.personId });
      await tell(tx, actor, 'kitchen', now.roundId);
      return true;
    });
  }
}

/** Minutes of the best day so far, and what no day is shorter than. */
const bestOf = ({ minutes, atLeast }: RunSheetResult): Record<string, number> => ({
  minutes,
  atLeast: atLeast ?? minutes,
});
