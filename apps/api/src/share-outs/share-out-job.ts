import { Injectable, type OnModuleInit } from '@nestjs/common';
import { DomainError, rational } from '@frostmoot/calc';
import type { ShareOutOutput } from '@frostmoot/calc';
import type { job, searchShareOut } from '@frostmoot/contract';
import { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import type { JobOrder, Progress } from '../platform/jobs/job-handler.ts';
import { Jobs } from '../platform/jobs/jobs.service.ts';
import { ShareOutService } from './share-out.service.ts';

/** Working out the share-out of a round. */
const SHARE_OUT = 'share-out';
/** Longer than any round of a real cooperative needs; whoever has enough stops it before. */
const MILLISECONDS = 120_000;
const input = z.object({ varietyWindow: z.string().default('0') });

/** Works a share-out out in the background: a first division at once, then the proof that none is better, stage by stage, until it is stopped. */
@Injectable()
export class ShareOutJob implements OnModuleInit {
  constructor(
    private readonly unitOfWork: UnitOfWork,
    private readonly jobs: Jobs,
    private readonly shareOuts: ShareOutService,
  ) {}

  onModuleInit(): void {
    this.jobs.register({
      kind: SHARE_OUT,
      run: (...args) => this.run(...args),
      // Everybody waits for it; only whoever may confirm it may stop it.
      maySee: () => true,
      mayStop: ({ roles }) => roles.includes('coordinator'),
      triesAgainAfter: [5],
    });
  }

  start(actor: Actor, roundId: string, asked: z.infer<typeof searchShareOut>): Promise<z.infer<typeof job>> {
    return this.unitOfWork.write(actor, async (tx) => {
      await this.shareOuts.requireOpen(tx, actor, roundId);
      return this.jobs.start(tx, actor, { kind: SHARE_OUT, subjectId: roundId, input: asked });
    });
  }

  private async run(
    { actor, subjectId, input: given }: JobOrder,
    report: (progress: Progress) => void,
    signal: AbortSignal,
  ): Promise<{ shareOutId: string | null; proof: string | null }> {
    if (subjectId === null) throw new DomainError('not-found', 'A share-out is of a round');
    const window = rational.parse(input.parse(given).varietyWindow);
    const view = await this.shareOuts.workOut(actor, subjectId, window, {
      ...{ proofMilliseconds: MILLISECONDS, stop: signal },
      onFirst: (first) => report({ stage: 1, of: 3, code: 'share-out-first', best: bestOf(first) }),
      onStage: (stage, first) => report({ stage: 2, of: 3, code: `share-out-${stage}`, best: bestOf(first) }),
      onProved: (proved) => report({ stage: 3, of: 3, code: 'share-out-keep', best: bestOf(proved) }),
    });
    return { shareOutId: view.shareOutId, proof: view.proof };
  }
}

/** The furthest that anybody is from its target, and what is over: figures that everybody can follow. */
function bestOf({ received, target, unallotted }: ShareOutOutput): Record<string, string | number> {
  const away = Object.entries(target).map(([id, portions]) =>
    rational.abs(rational.sub(rational.parse(received[id] ?? '0'), rational.parse(portions))),
  );
  return {
    furthest: rational.format(away.reduce(rational.max, rational.zero)),
    left: Object.values(unallotted).reduce((a, b) => a + b, 0),
  };
}
