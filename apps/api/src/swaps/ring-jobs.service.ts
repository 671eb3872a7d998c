import { Injectable, Logger, type OnModuleInit } from '@nestjs/common';
import type { job } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { Clock } from '../platform/clock/clock.ts';
import { dayOf } from '../platform/clock/day-of.ts';
import type { CooperativeDay } from '../platform/clock/day-of.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { newId } from '../platform/db/ids.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { tell } from '../platform/events/tell.ts';
import { outsideRequests } from '../platform/http/request-context.ts';
import type { JobOrder, Progress } from '../platform/jobs/job-handler.ts';
import { Jobs } from '../platform/jobs/jobs.service.ts';
import { dayBefore, endOfDay } from './end-of-day.ts';
import { LapsedRings } from './lapsed-rings.ts';
import { LAPSE_RING, RingSearchService } from './ring-search.service.ts';
import { RingDueRepository } from './ring-due.repository.ts';

/** Looked for on demand. */
const FIND_RINGS = 'find-rings';
/** Looked for before a round's containers are collected; about the round. */
const FIND_RINGS_OF_ROUND = 'find-rings-of-round';

/** What came of a search. */
export interface RingsFound {
  rings: number;
}

/** Looking for rings is long work: on demand, and by itself on the evening before the last swap day of a round. */
@Injectable()
export class RingJobs implements OnModuleInit {
  private readonly logger = new Logger('rings');

  constructor(
    private readonly unitOfWork: UnitOfWork,
    private readonly jobs: Jobs,
    private readonly searches: RingSearchService,
    private readonly due: RingDueRepository,
    private readonly lapsed: LapsedRings,
    private readonly clock: Clock,
  ) {}

  onModuleInit(): void {
    // What is found is told to the households in it; how far the search is, to everybody.
    const maySee = () => true;
    const triesAgainAfter = [5, 60];
    this.jobs.register({ kind: FIND_RINGS, run: (...args) => this.search(...args), maySee, triesAgainAfter });
    this.jobs.register({
      kind: LAPSE_RING,
      run: async ({ actor }) => {
        await this.unitOfWork.write(actor, async (tx) => {
          await this.lapsed.settle(tx, actor, this.clock.now());
          await tell(tx, actor, 'swaps');
        });
        return {};
      },
      triesAgainAfter,
    });
    this.jobs.register({ kind: FIND_RINGS_OF_ROUND, run: (...args) => this.ofRound(...args), maySee, triesAgainAfter });
  }

  start(actor: Actor): Promise<z.infer<typeof job>> {
    return this.unitOfWork.write(actor, (tx) =>
      this.jobs.start(tx, actor, { kind: FIND_RINGS, subjectId: null, input: {} }),
    );
  }

  /** Puts the searches of rounds that have none yet into the queue, each for its evening; at once when that has come. The queue holds one for each round. */
  async plan(tx: Tx, actor: Actor, day: CooperativeDay): Promise<void> {
    for (const { id, swapUntil } of await this.due.unplanned(tx, actor, day.today, FIND_RINGS_OF_ROUND)) {
      const begins = lookFrom(swapUntil, day.timeZone);
      const dueAt = begins > day.now.getTime() ? { dueAt: new Date(begins) } : {};
      await this.jobs.start(tx, actor, { kind: FIND_RINGS_OF_ROUND, subjectId: id, input: {}, ...dueAt });
    }
  }

  /** After something was held out or wished for: plans, and from the evening before the end of a round's swap days on looks again for each. */
  async afterChange(tx: Tx, actor: Actor): Promise<void> {
    const day = await dayOf(tx, actor, this.clock);
    await this.plan(tx, actor, day);
    const ends = await this.due.swapDays(tx, actor, day.today);
    // Each change has a search of its own: one that is running may have read the board before this change.
    if (ends.some((swapUntil) => lookFrom(swapUntil, day.timeZone) <= day.now.getTime()))
      await this.jobs.start(tx, actor, { kind: FIND_RINGS, subjectId: newId(), input: {} });
  }

  async isToPlan(tx: Tx, actor: Actor, { today }: CooperativeDay): Promise<boolean> {
    return (await this.due.unplanned(tx, actor, today, FIND_RINGS_OF_ROUND)).length > 0;
  }

  /** As plan, for whoever only looks at the board, which does not wait for it; when it fails the next one who looks tries again. */
  async planLater(actor: Actor): Promise<void> {
    try {
      await outsideRequests(() =>
        this.unitOfWork.write(actor, async (tx) => this.plan(tx, actor, await dayOf(tx, actor, this.clock))),
      );
    } catch (error) {
      this.logger.warn(error);
    }
  }

  private async search(
    { actor }: JobOrder,
    report: (progress: Progress) => void,
    stop: AbortSignal,
  ): Promise<RingsFound> {
    const told = (stage: number, code: string) => (rings?: number) =>
      report({ stage, of: 3, code, ...(rings === undefined ? {} : { best: { rings } }) });
    const made = await this.searches.search(actor, {
      onRead: told(1, 'rings-look'),
      onFound: told(2, 'rings-prove'),
      onProved: told(3, 'rings-propose'),
      stop,
    });
    return { rings: made.length };
  }

  private async ofRound(order: JobOrder, report: (progress: Progress) => void, stop: AbortSignal): Promise<RingsFound> {
    const { actor, subjectId } = order;
    const isDue = await this.unitOfWork.read(actor, async (tx) => {
      const { now, timeZone } = await dayOf(tx, actor, this.clock);
      const swapUntil = await this.due.waiting(tx, actor, subjectId ?? '');
      return swapUntil !== null && lookFrom(swapUntil, timeZone) <= now.getTime();
    });
    // Its swap days were moved, or it was looked for before: whoever opens the board next puts it into the queue again.
    if (!isDue) return { rings: 0 };
    const found = await this.search(order, report, stop);
    await this.unitOfWork.write(actor, (tx) => this.due.searched(tx, actor, subjectId ?? ''));
    return found;
  }
}

/** The evening before a local date, in milliseconds since 1970 in UTC: six hours before it begins, so that the day itself is left for answers. */
const lookFrom = (swapUntil: string, timeZone: string): number =>
  endOfDay(dayBefore(swapUntil), timeZone) - 6 * 3_600_000;
