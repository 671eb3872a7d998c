import type { Actor } from '../auth/actor.ts';
import { type UnitOfWork } from '../db/unit-of-work.ts';
import { tell } from '../events/tell.ts';
import type { Progress } from './job-handler.ts';
import { type JobRepository, type Leased } from './job.repository.ts';

/** Between two writes of what is reported: a few a second are seen, more would only fill the stream. */
const REPORT_MS = 400;

/** Why a running job is broken off; a handler need not tell them apart. */
export type BreakOff = 'stop' | 'lost' | 'shutdown';

/** A job in the hands of this process: keeps its lease, writes its progress, hears that it shall stop. */
export class RunningJob {
  private readonly controller = new AbortController();
  private waiting: Progress | undefined;
  private timer: NodeJS.Timeout | undefined;
  private writing: Promise<void> = Promise.resolve();
  private readonly beat: NodeJS.Timeout;
  brokenOff: BreakOff | undefined;

  constructor(
    readonly actor: Actor,
    readonly leased: Leased,
    private readonly leaseSeconds: number,
    private readonly unitOfWork: UnitOfWork,
    private readonly jobs: JobRepository,
    private readonly onError: (error: unknown) => void,
  ) {
    this.beat = setInterval(() => void this.renew(), (leaseSeconds * 1000) / 3);
  }

  get signal(): AbortSignal {
    return this.controller.signal;
  }

  breakOff(why: BreakOff): void {
    this.brokenOff ??= why;
    this.controller.abort(new Error(`The job was broken off: ${why}`));
  }

  /** Renews the lease and asks whether to stop. */
  async renew(): Promise<void> {
    try {
      const { actor, leased, leaseSeconds } = this;
      const kept = await this.unitOfWork.write(actor, (tx) => this.jobs.renew(tx, actor, leased, leaseSeconds));
      if (!kept) this.breakOff('lost');
      else if (kept.stop) this.breakOff('stop');
    } catch (error) {
      this.onError(error);
    }
  }

  /** Keeps the newest progress and writes it in a transaction of its own, at most once in {@link REPORT_MS}. */
  report(progress: Progress): void {
    this.waiting = progress;
    this.timer ??= setTimeout(() => {
      this.timer = undefined;
      this.writing = this.writeReport();
    }, REPORT_MS);
  }

  /** Writes what is still waiting and lets go of the lease's clock. */
  async close(): Promise<void> {
    clearInterval(this.beat);
    clearTimeout(this.timer);
    await this.writing;
    await this.writeReport();
  }

  private async writeReport(): Promise<void> {
    const progress = this.waiting;
    this.waiting = undefined;
    if (!progress) return;
    try {
      const { actor, leased } = this;
      await this.unitOfWork.write(actor, async (tx) => {
        if (await this.jobs.report(tx, actor, leased, progress)) await tell(tx, actor, 'jobs', leased.id);
      });
    } catch (error) {
      this.onError(error);
    }
  }
}
