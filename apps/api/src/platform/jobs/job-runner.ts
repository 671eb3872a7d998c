import {
  Inject,
  Injectable,
  Logger,
  type BeforeApplicationShutdown,
  type OnApplicationBootstrap,
} from '@nestjs/common';
import { DomainError } from '@frostmoot/calc';
import type { Role } from '@frostmoot/contract';
import { setTimeout as delay } from 'node:timers/promises';
import type { Actor } from '../auth/actor.ts';
import type { Config } from '../config/config.ts';
import { CONFIG } from '../config/tokens.ts';
import { newId } from '../db/ids.ts';
import { UnitOfWork } from '../db/unit-of-work.ts';
import { OutboxListener } from '../events/listener.ts';
import { tell } from '../events/tell.ts';
import { outsideRequests } from '../http/request-context.ts';
import { JobRepository, type JobEnd, type JobRow } from './job.repository.ts';
import { Jobs } from './jobs.service.ts';
import { RunningJob } from './running-job.ts';

/** Times that a job may lose its process before it is given up. */
const MOST_CRASHES = 1;
/** How long work that is broken off at the end of the process may take to come back. */
const CLOSING_MS = 3000;

/** Takes jobs out of the database and does them, so many at once; every process of the API has one. */
@Injectable()
export class JobRunner implements OnApplicationBootstrap, BeforeApplicationShutdown {
  private readonly worker = newId();
  private readonly running = new Map<string, { job: RunningJob; done: Promise<void> }>();
  private readonly logger = new Logger('jobs');
  private poll: NodeJS.Timeout | undefined;
  private unsubscribe: (() => void) | undefined;
  private looking: Promise<void> | undefined;
  private lookAgain = false;
  private closing = false;

  constructor(
    private readonly jobs: Jobs,
    private readonly rows: JobRepository,
    private readonly unitOfWork: UnitOfWork,
    private readonly listener: OutboxListener,
    @Inject(CONFIG) private readonly config: Config,
  ) {}

  onApplicationBootstrap(): void {
    this.listen();
    // Woken by the database; the clock is for what falls due by itself and for a connection that was lost.
    this.poll = setInterval(() => this.listen(), (this.config.jobLeaseSeconds * 1000) / 2);
  }

  async beforeApplicationShutdown(): Promise<void> {
    this.closing = true;
    clearInterval(this.poll);
    this.unsubscribe?.();
    await this.looking;
    for (const { job } of this.running.values()) job.breakOff('shutdown');
    const all = Promise.all([...this.running.values()].map(({ done }) => done));
    await Promise.race([all, delay(CLOSING_MS, undefined, { ref: false })]);
  }

  private listen(): void {
    this.unsubscribe = this.listener.onWork(this.wake);
    this.look();
  }

  private readonly wake = (): void => {
    for (const { job } of this.running.values()) void job.renew();
    this.look();
  };

  /** Takes jobs until there are none or hands are full; asked again meanwhile, it looks once more. */
  private look(): void {
    this.lookAgain = true;
    this.looking ??= outsideRequests(() => this.takeAll()).finally(() => {
      this.looking = undefined;
    });
  }

  private async takeAll(): Promise<void> {
    try {
      while (this.lookAgain && !this.closing) {
        this.lookAgain = false;
        while (!this.closing && this.running.size < this.config.jobsAtOnce && (await this.takeOne()));
      }
    } catch (error) {
      // The database is away; the clock tries again.
      this.logger.warn(`no jobs could be taken: ${error instanceof Error ? error.message : String(error)}`);
    }
  }

  private async takeOne(): Promise<boolean> {
    const { jobLeaseSeconds } = this.config;
    if (this.jobs.kinds().length === 0) return false;
    const taken = await this.unitOfWork.statement((client) =>
      this.rows.take(client, this.worker, this.jobs.kinds(), jobLeaseSeconds),
    );
    if (!taken) return false;
    const scope = { cooperativeId: taken.cooperativeId, personId: '' };
    const row = await this.unitOfWork.read(scope, (tx) => this.rows.find(tx, scope, taken.id));
    if (!row) return true;
    const leased = { id: row.id, worker: this.worker };
    const job = new RunningJob(actorOf(row), leased, jobLeaseSeconds, this.unitOfWork, this.rows, (error) =>
      this.logger.error(error),
    );
    const done = this.run(job, row).finally(() => {
      this.running.delete(row.id);
      this.look();
    });
    this.running.set(row.id, { job, done });
    return true;
  }

  private async run(job: RunningJob, row: JobRow): Promise<void> {
    const { actor, leased } = job;
    try {
      const end = row.crashes > MOST_CRASHES ? interrupted() : await this.work(job, row);
      await job.close();
      if (job.brokenOff === 'lost') return;
      await this.unitOfWork.write(actor, async (tx) => {
        if ('seconds' in end) await this.rows.giveBack(tx, actor, leased, end);
        else if (!(await this.rows.end(tx, actor, leased, end))) return;
        await tell(tx, actor, 'jobs', leased.id);
      });
    } catch (error) {
      // What could not be written is taken up again when the lease has run out.
      this.logger.error(error);
      await job.close();
    }
  }

  private async work(job: RunningJob, row: JobRow): Promise<JobEnd | { seconds: number; failed: boolean }> {
    const { kind, id, subjectId, input } = row;
    const handler = this.jobs.handlerOf(kind);
    if (row.stopAskedAt) job.breakOff('stop');
    try {
      const order = { id, actor: job.actor, subjectId, input };
      const answer = await handler.run(order, (progress) => job.report(progress), job.signal);
      if (job.brokenOff === 'shutdown') return { seconds: 0, failed: false };
      return { state: job.brokenOff === 'stop' ? 'stopped' : 'done', answer };
    } catch (error) {
      if (job.brokenOff === 'shutdown') return { seconds: 0, failed: false };
      if (job.brokenOff === 'stop') return { state: 'stopped' };
      if (error instanceof DomainError) {
        const { code, params } = error;
        return { state: 'failed', problem: { code, ...(params ? { params } : {}) } };
      }
      const seconds = handler.triesAgainAfter?.[row.failures];
      this.logger.error(error);
      if (seconds !== undefined) return { seconds, failed: true };
      return { state: 'failed', problem: { code: 'internal' } };
    }
  }
}

const interrupted = (): JobEnd => ({ state: 'failed', problem: { code: 'interrupted' } });

function actorOf({ cooperativeId, createdBy: personId, actor }: JobRow): Actor {
  const { householdId, roles, displayName } = actor as { householdId: string; roles: Role[]; displayName: string };
  return { cooperativeId, personId, householdId, roles, displayName };
}
