import { spawn, type ChildProcess } from 'node:child_process';
import { once } from 'node:events';
import { fileURLToPath } from 'node:url';
import type { Actor } from '../../apps/api/src/platform/auth/actor.ts';
import { UnitOfWork } from '../../apps/api/src/platform/db/unit-of-work.ts';
import type { JobHandler } from '../../apps/api/src/platform/jobs/job-handler.ts';
import { Jobs, type JobView } from '../../apps/api/src/platform/jobs/jobs.service.ts';
import type { Api } from '../api/harness.ts';
import type { BuiltCooperative } from '../builders/cooperative.ts';
import { until } from '../builders/until.ts';

const SCRIPT = fileURLToPath(new URL('worker-process.mjs', import.meta.url));

/** A process of the built API that does jobs of the kind `count`. */
export class WorkerProcess {
  readonly lines: string[] = [];
  readonly child: ChildProcess;

  constructor(databaseUrl: string, leaseSeconds: number) {
    const env = {
      PATH: process.env['PATH'],
      DATABASE_URL: databaseUrl,
      JOB_LEASE_SECONDS: String(leaseSeconds),
      LOG_LEVEL: 'silent',
    };
    this.child = spawn(process.execPath, [SCRIPT], { env, stdio: ['ignore', 'pipe', 'inherit'] });
    let rest = '';
    this.child.stdout?.on('data', (chunk: Buffer) => {
      const parts = (rest + chunk.toString()).split('\n');
      rest = parts.pop() ?? '';
      this.lines.push(...parts);
    });
  }

  says(line: string): Promise<void> {
    return until(() => this.lines.includes(line));
  }

  async end(signal: NodeJS.Signals): Promise<void> {
    if (this.child.exitCode !== null || this.child.signalCode !== null) return;
    this.child.kill(signal);
    await once(this.child, 'exit');
  }
}

export function actorOf(cooperative: BuiltCooperative, name: string): Actor {
  const { id: householdId, personId } = cooperative.household(name);
  return { cooperativeId: cooperative.id, personId, householdId, roles: ['adult'], displayName: name };
}

export const register = (api: Api, handler: JobHandler): void => api.app.get(Jobs).register(handler);

/** Starts a job as a capability does, inside a unit of work. */
export function start(
  api: Api,
  actor: Actor,
  order: { kind?: string; subjectId?: string | null; input?: unknown },
): Promise<JobView> {
  const { kind = 'count', subjectId = null, input = {} } = order;
  return api.app.get(UnitOfWork).write(actor, (tx) => api.app.get(Jobs).start(tx, actor, { kind, subjectId, input }));
}
