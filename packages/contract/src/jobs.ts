import { z } from 'zod';
import { id, instant, named } from './primitives.ts';

/** What long work is about: its kind and the thing that it is done for. */
export const jobQuery = z.object({ kind: z.string().regex(/^[a-z][a-z-]{0,39}$/), subjectId: id.optional() });

/**
 * Long work in the background. `stage` of `stages` and `code` say what is being done, `best` the best result so far; `answer` is what came of it. A stopped
 * job has the answer that was best when it was stopped, where there was one. `problem` is the code of a problem document.
 */
export const job = z
  .object({
    id,
    kind: z.string(),
    subjectId: id.nullable(),
    state: z.enum(['queued', 'running', 'done', 'failed', 'stopped']),
    stage: z.int().nullable(),
    stages: z.int().nullable(),
    code: z.string().nullable(),
    best: z.record(z.string(), z.union([z.string(), z.number()])).nullable(),
    answer: z.unknown(),
    problem: z
      .object({ code: z.string(), params: z.record(z.string(), z.union([z.string(), z.number()])).optional() })
      .nullable(),
    createdBy: named.nullable(),
    createdAt: instant,
    startedAt: instant.nullable(),
    endedAt: instant.nullable(),
    stopAsked: z.boolean(),
    mayStop: z.boolean(),
  })
  .meta({ id: 'Job' });

/** The newest job about something: the one that is open, else the last that ended; null when there was none. */
export const latestJob = z.object({ job: job.nullable() }).meta({ id: 'LatestJob' });
