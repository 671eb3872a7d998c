import { Injectable, type OnApplicationShutdown } from '@nestjs/common';
import type { FirstOf, Proved, ProvedName, ThreadInput, ThreadName, ThreadResult } from '@frostmoot/calc';
import { CalcPool, type CalcOptions, type ProveOptions } from '@frostmoot/solver';
import { SharedSolver } from './shared-solver.ts';

/** Proofs at the same time at most; they mostly wait for the solver, and none shall wait for the end of another's. */
const PROOFS_AT_ONCE = 4;
/** A thread for what a screen waits for is kept that long, since beginning one takes a tenth of a second. */
const KEPT_MILLISECONDS = 600_000;

/**
 * The threads of this process that calculate, so that no request waits for another's calculation: one pool for what a screen waits for, one for proofs and
 * searches of seconds. A thread is started when there is something to work out.
 */
@Injectable()
export class SharedCalc implements OnApplicationShutdown {
  private readonly quick = new CalcPool({ waiting: 100, idleMilliseconds: KEPT_MILLISECONDS });
  private readonly long = new CalcPool({ threads: PROOFS_AT_ONCE, waiting: 100 });

  constructor(private readonly solver: SharedSolver) {}

  run<Name extends ThreadName>(
    name: Name,
    input: ThreadInput<Name>,
    options: CalcOptions,
  ): Promise<ThreadResult<Name>> {
    return this.quick.run(name, input, options);
  }

  prove<Name extends ProvedName>(
    name: Name,
    input: unknown,
    options: Omit<ProveOptions<FirstOf<Name>>, 'solver'>,
  ): Promise<Proved<Name>> {
    return this.long.prove(name, input, { ...options, solver: this.solver });
  }

  async onApplicationShutdown(): Promise<void> {
    await Promise.all([this.quick.close(), this.long.close()]);
  }
}
