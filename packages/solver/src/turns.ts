import type { Cancellation } from '@frostmoot/calc';
import { SolverError } from '@frostmoot/calc';

interface Waiting {
  begin: () => void;
  refuse: (error: SolverError) => void;
}

/** Lets so many work at the same time, keeps so many in line, and refuses the others at once. */
export class Turns {
  private readonly atOnce: number;
  private readonly inLine: number;
  private readonly line: Waiting[] = [];
  private busy = 0;

  constructor(atOnce: number, inLine: number) {
    this.atOnce = atOnce;
    this.inLine = inLine;
  }

  /** Does some work when it is its turn. Rejects with `solver-busy` when the line is full, with `solver-cancelled` when nobody wants to wait any more. */
  async take<T>(work: () => Promise<T>, cancel: Cancellation | undefined): Promise<T> {
    if (this.busy >= this.atOnce) await this.wait(cancel);
    else this.busy++;
    try {
      return await work();
    } finally {
      const next = this.line.shift();
      if (next) next.begin();
      else this.busy--;
    }
  }

  /** Sends everybody in line away. */
  close(): void {
    for (const { refuse } of this.line.splice(0)) refuse(new SolverError('solver-cancelled', 'The solver is closed.'));
  }

  private wait(cancel: Cancellation | undefined): Promise<void> {
    if (this.line.length >= this.inLine) {
      throw new SolverError('solver-busy', 'Too much is waiting to be solved.');
    }
    return new Promise((resolve, reject) => {
      const onCancel = (): void => {
        this.line.splice(this.line.indexOf(waiting), 1);
        reject(new SolverError('solver-cancelled', 'Nobody wants to know any more.'));
      };
      const waiting: Waiting = {
        begin: () => {
          cancel?.removeEventListener('abort', onCancel);
          resolve();
        },
        refuse: (error) => {
          cancel?.removeEventListener('abort', onCancel);
          reject(error);
        },
      };
      cancel?.addEventListener('abort', onCancel);
      this.line.push(waiting);
    });
  }
}
