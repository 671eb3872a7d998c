import { Injectable, type OnApplicationShutdown } from '@nestjs/common';
import type { IntegerModel, Solver, SolverOptions, SolverResult } from '@frostmoot/calc';
import { SolverPool, withinTime } from '@frostmoot/solver';

/** The one pool of solver threads of this process; a thread is started when there is something to solve, and the pool is closed with the process. */
@Injectable()
export class SharedSolver implements Solver, OnApplicationShutdown {
  private readonly pool = new SolverPool({ waiting: 100 });

  solve(model: IntegerModel, options: SolverOptions): Promise<SolverResult> {
    return this.pool.solve(model, options);
  }

  /** A solver for one request: all that it is asked ends within these milliseconds from now. */
  within(milliseconds: number): Solver {
    return withinTime(this, milliseconds);
  }

  async onApplicationShutdown(): Promise<void> {
    await this.pool.close();
  }
}
