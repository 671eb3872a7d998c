import type { Actor } from '../auth/actor.ts';

/** What the screens are told while the work goes on; `code` names what is being done, and the web has the words for it. */
export interface Progress {
  stage: number;
  of: number;
  code: string;
  best?: Record<string, string | number>;
}

/** What is to be done. `input` is the JSON that the start was given. */
export interface JobOrder {
  id: string;
  actor: Actor;
  subjectId: string | null;
  input: unknown;
}

/** What authorisation of a job is decided by. */
export interface JobFacts {
  subjectId: string | null;
  createdBy: string;
  householdId: string;
}

/**
 * One kind of long work, declared by a capability. `run` may be called a second time for the same order when the process of the first died, so what it
 * writes must be as good when written twice. When `signal` aborts it returns at once the best that it has; it may throw when there is nothing yet.
 */
export interface JobHandler {
  kind: string;
  run(order: JobOrder, report: (progress: Progress) => void, signal: AbortSignal): Promise<unknown>;
  /** who may read the job and its answer; without it whoever started it, their household and coordinators */
  maySee?(actor: Actor, job: JobFacts): boolean;
  /** who may stop it; without it whoever may see it and has a role that writes */
  mayStop?(actor: Actor, job: JobFacts): boolean;
  /** seconds until each further try after an error that is not the domain's; without it there is none */
  triesAgainAfter?: readonly number[];
}

export function maySee(handler: JobHandler, actor: Actor, job: JobFacts): boolean {
  if (handler.maySee) return handler.maySee(actor, job);
  return actor.householdId === job.householdId || actor.roles.includes('coordinator');
}

export function mayStop(handler: JobHandler, actor: Actor, job: JobFacts): boolean {
  if (handler.mayStop) return handler.mayStop(actor, job);
  return maySee(handler, actor, job) && actor.roles.some((role) => role !== 'reader');
}
