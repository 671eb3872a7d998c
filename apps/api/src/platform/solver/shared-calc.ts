import { Injectable, type OnApplicationShutdown } from '@nestjs/common';
import type { CommandName, commands } from '@frostmoot/calc';
import { CalcPool, type CalcOptions } from '@frostmoot/solver';

/** The one pool of this process for calculations that may take seconds; a thread is started when there is something to work out. */
@Injectable()
export class SharedCalc implements OnApplicationShutdown {
  private readonly pool = new CalcPool({ waiting: 100 });

  run<Name extends CommandName>(
    name: Name,
    input: unknown,
    options: CalcOptions,
  ): Promise<ReturnType<(typeof commands)[Name]>> {
    return this.pool.run(name, input, options);
  }

  async onApplicationShutdown(): Promise<void> {
    await this.pool.close();
  }
}
