import { Injectable } from '@nestjs/common';
import type { Actor } from '../auth/actor.ts';
import { newId } from '../db/ids.ts';
import { json } from '../db/json.ts';
import type { Tx } from '../db/prisma.ts';
import type { Scope } from '../db/scope.ts';
import type { Progress } from './job-handler.ts';

export interface NewJob {
  kind: string;
  subjectId: string | null;
  input: unknown;
  /** not before; at once when left out */
  dueAt?: Date;
}
export type JobRow = NonNullable<Awaited<ReturnType<JobRepository['find']>>>;
export interface JobEnd {
  state: 'done' | 'failed' | 'stopped';
  answer?: unknown;
  problem?: { code: string; params?: Record<string, string | number> };
}

/** A job and who runs it: nothing is written for a process whose lease somebody else has taken. */
export interface Leased {
  id: string;
  worker: string;
}

/** Rows of jobs. */
@Injectable()
export class JobRepository {
  /** Due so many milliseconds from this statement, by the database's clock as everything in the queue. Null when one about the same is open already. */
  async insert(tx: Tx, actor: Actor, { kind, subjectId, input }: NewJob, waitMs: number): Promise<string | null> {
    const { householdId, roles, displayName } = actor;
    const asked = JSON.stringify({ householdId, roles, displayName });
    const rows = await tx.$queryRaw<{ id: string }[]>`
      INSERT INTO job (cooperative_id, id, kind, subject_id, input, actor, created_by, due_at)
      VALUES (${actor.cooperativeId}::uuid, ${newId()}::uuid, ${kind}, ${subjectId}::uuid, ${JSON.stringify(input)}::jsonb, ${asked}::jsonb,
        ${actor.personId}::uuid, clock_timestamp() + make_interval(secs => ${waitMs / 1000}::double precision))
      ON CONFLICT DO NOTHING RETURNING id::text`;
    return rows[0]?.id ?? null;
  }

  find(tx: Tx, scope: Scope, id: string) {
    const { cooperativeId } = scope;
    return tx.job.findUnique({ where: { cooperativeId_id: { cooperativeId, id } } });
  }

  /** The newest about a thing; open ones come first, since nothing newer can have been started. */
  latest(tx: Tx, scope: Scope, kind: string, subjectId: string | null): Promise<JobRow | null> {
    return tx.job.findFirst({
      where: { cooperativeId: scope.cooperativeId, kind, subjectId },
      orderBy: [{ createdAt: 'desc' }, { id: 'desc' }],
    });
  }

  /** Takes a job for a process, in a transaction of its own (see the function in the database). */
  async take(
    tx: Tx,
    worker: string,
    kinds: readonly string[],
    leaseSeconds: number,
  ): Promise<{ cooperativeId: string; id: string } | null> {
    const rows = await tx.$queryRaw<{ cooperative_id: string; id: string }[]>`
      SELECT cooperative_id::text, id::text FROM take_job(${worker}::uuid, ${[...kinds]}::text[], make_interval(secs => ${leaseSeconds}::int))`;
    return rows[0] ? { cooperativeId: rows[0].cooperative_id, id: rows[0].id } : null;
  }

  /** Renews the lease; tells whether it was asked to stop, and null when the job is no longer this process's. */
  async renew(tx: Tx, scope: Scope, { id, worker }: Leased, leaseSeconds: number): Promise<{ stop: boolean } | null> {
    const rows = await tx.$queryRaw<{ stop: boolean }[]>`
      UPDATE job SET lease_until = now() + make_interval(secs => ${leaseSeconds}::int)
      WHERE cooperative_id = ${scope.cooperativeId}::uuid AND id = ${id}::uuid AND worker = ${worker}::uuid
      RETURNING stop_asked_at IS NOT NULL AS stop`;
    return rows[0] ?? null;
  }

  async report(tx: Tx, scope: Scope, { id, worker }: Leased, { stage, of, code, best }: Progress): Promise<boolean> {
    const { count } = await tx.job.updateMany({
      where: { cooperativeId: scope.cooperativeId, id, worker },
      data: { stage, stages: of, code, ...(best ? { best } : {}) },
    });
    return count === 1;
  }

  async end(tx: Tx, scope: Scope, { id, worker }: Leased, { state, answer, problem }: JobEnd): Promise<boolean> {
    const { count } = await tx.job.updateMany({
      where: { cooperativeId: scope.cooperativeId, id, worker },
      data: {
        state,
        endedAt: new Date(),
        worker: null,
        leaseUntil: null,
        ...(answer === undefined || answer === null ? {} : { answer: json(answer) }),
        ...(problem ? { problem: json(problem) } : {}),
      },
    });
    return count === 1;
  }

  /** Gives a running job back, to be taken again after so many seconds; `failed` counts it as a try. */
  async giveBack(
    tx: Tx,
    scope: Scope,
    { id, worker }: Leased,
    { seconds, failed }: { seconds: number; failed: boolean },
  ): Promise<void> {
    await tx.$executeRaw`
      UPDATE job SET state = 'queued', worker = NULL, lease_until = NULL, due_at = now() + make_interval(secs => ${seconds}::int),
        failures = failures + ${failed ? 1 : 0}::int
      WHERE cooperative_id = ${scope.cooperativeId}::uuid AND id = ${id}::uuid AND worker = ${worker}::uuid`;
  }

  /** Asks a running job to stop, and ends a waiting one. False when it has ended. */
  async stop(tx: Tx, scope: Scope, id: string): Promise<boolean> {
    const changed = await tx.$executeRaw`
      UPDATE job SET stop_asked_at = coalesce(stop_asked_at, now()),
        ended_at = CASE state WHEN 'queued' THEN now() END, state = CASE state WHEN 'queued' THEN 'stopped' ELSE state END
      WHERE cooperative_id = ${scope.cooperativeId}::uuid AND id = ${id}::uuid AND state IN ('queued', 'running')`;
    return changed === 1;
  }

  async nameOf(tx: Tx, personId: string): Promise<string | null> {
    return (
      (await tx.person.findUnique({ where: { id: personId }, select: { displayName: true } }))?.displayName ?? null
    );
  }
}
