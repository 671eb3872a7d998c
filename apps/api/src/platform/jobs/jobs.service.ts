import { Injectable } from '@nestjs/common';
import { DomainError } from '@frostmoot/calc';
import type { job as jobSchema, latestJob } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../auth/actor.ts';
import { Clock } from '../clock/clock.ts';
import type { Tx } from '../db/prisma.ts';
import { UnitOfWork } from '../db/unit-of-work.ts';
import { tell } from '../events/tell.ts';
import { maySee, mayStop, type JobFacts, type JobHandler } from './job-handler.ts';
import { JobRepository, type JobRow, type NewJob } from './job.repository.ts';

export type JobView = z.infer<typeof jobSchema>;

/** Starts long work, shows how far it is and stops it; JobRunner does it. */
@Injectable()
export class Jobs {
  private readonly handlers = new Map<string, JobHandler>();

  constructor(
    private readonly unitOfWork: UnitOfWork,
    private readonly jobs: JobRepository,
    private readonly clock: Clock,
  ) {}

  /** Called by the capability when the application starts. */
  register(handler: JobHandler): void {
    if (this.handlers.has(handler.kind)) throw new Error(`Two handlers for jobs of the kind ${handler.kind}`);
    this.handlers.set(handler.kind, handler);
  }

  handlerOf(kind: string): JobHandler {
    const handler = this.handlers.get(kind);
    if (!handler) throw new Error(`No handler for jobs of the kind ${kind}`);
    return handler;
  }

  kinds(): string[] {
    return [...this.handlers.keys()];
  }

  /** Inside a unit of work: the job begins once that has committed. One that is open for the same kind and subject is given instead of a second. */
  async start(tx: Tx, actor: Actor, order: NewJob): Promise<JobView> {
    this.handlerOf(order.kind);
    // As a wait, so that the queue's clock need not show what ours does: whoever then does the job finds that the moment has come.
    const waitMs = order.dueAt ? order.dueAt.getTime() - this.clock.now().getTime() : 0;
    for (;;) {
      const id = await this.jobs.insert(tx, actor, order, waitMs);
      if (id !== null) await tell(tx, actor, 'jobs', id);
      const found = await (id === null
        ? this.jobs.latest(tx, actor, order.kind, order.subjectId)
        : this.jobs.find(tx, actor, id));
      // It may have ended between the two statements; then there is room for another.
      if (found && (id !== null || found.endedAt === null)) return this.view(tx, actor, found);
    }
  }

  find(actor: Actor, id: string): Promise<JobView> {
    return this.unitOfWork.read(actor, async (tx) => this.view(tx, actor, await this.visible(tx, actor, id)));
  }

  latest(actor: Actor, kind: string, subjectId: string | null): Promise<z.infer<typeof latestJob>> {
    return this.unitOfWork.read(actor, async (tx) => {
      const row = await this.jobs.latest(tx, actor, kind, subjectId);
      const handler = row ? this.handlers.get(row.kind) : undefined;
      if (!row || !handler || !maySee(handler, actor, factsOf(row))) return { job: null };
      return { job: await this.view(tx, actor, row) };
    });
  }

  /** Stops it and keeps the best so far; one that has ended stays as it ended. */
  stop(actor: Actor, id: string): Promise<JobView> {
    return this.unitOfWork.write(actor, async (tx) => {
      const row = await this.visible(tx, actor, id);
      if (!mayStop(this.handlerOf(row.kind), actor, factsOf(row))) {
        throw new DomainError(
          'forbidden',
          'Only those who decide on what this works out may stop it: ask a coordinator',
        );
      }
      if (await this.jobs.stop(tx, actor, id)) await tell(tx, actor, 'jobs', id);
      return this.view(tx, actor, (await this.jobs.find(tx, actor, id)) as JobRow);
    });
  }

  /** What somebody may not see is not told apart from what does not exist. */
  private async visible(tx: Tx, actor: Actor, id: string): Promise<JobRow> {
    const row = await this.jobs.find(tx, actor, id);
    const handler = row ? this.handlers.get(row.kind) : undefined;
    if (!row || !handler || !maySee(handler, actor, factsOf(row))) {
      throw new DomainError('not-found', 'There is no such job');
    }
    return row;
  }

  private async view(tx: Tx, actor: Actor, row: JobRow): Promise<JobView> {
    const handler = this.handlerOf(row.kind);
    const name = await this.jobs.nameOf(tx, row.createdBy);
    const open = row.state === 'queued' || row.state === 'running';
    return {
      id: row.id,
      kind: row.kind,
      subjectId: row.subjectId,
      state: row.state as JobView['state'],
      stage: row.stage,
      stages: row.stages,
      code: row.code,
      best: row.best as JobView['best'],
      answer: row.answer,
      problem: row.problem as JobView['problem'],
      createdBy: name === null ? null : { id: row.createdBy, name },
      createdAt: row.createdAt.toISOString(),
      startedAt: row.startedAt?.toISOString() ?? null,
      endedAt: row.endedAt?.toISOString() ?? null,
      stopAsked: row.stopAskedAt !== null,
      mayStop: open && row.stopAskedAt === null && mayStop(handler, actor, factsOf(row)),
    };
  }
}

function factsOf(row: JobRow): JobFacts {
  const { householdId } = row.actor as { householdId: string };
  return { subjectId: row.subjectId, createdBy: row.createdBy, householdId };
}
