import { spawnSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { IntegerModel } from '@frostmoot/calc';
import { lpText } from '@frostmoot/solver';

const missing =
  'CBC is not installed. On Debian and Ubuntu: apt-get install -y coinor-cbc; on macOS: brew install cbc.';

export interface CbcResult {
  /** optimum of the stage; missing when there is no solution or it was not proved in time */
  optimum?: number;
  isInfeasible: boolean;
  milliseconds: number;
}

/** Solves one stage of a model with CBC, proved to the last unit. `reached`: the optima of the stages before it. */
export function solveWithCbc(model: IntegerModel, stage = 0, reached: readonly number[] = [], seconds = 60): CbcResult {
  const folder = mkdtempSync(join(tmpdir(), 'cbc-'));
  try {
    const file = join(folder, 'model.lp');
    writeFileSync(file, lpText(model, stage, reached));
    const begun = performance.now();
    const { error, stdout } = spawnSync(
      'cbc',
      [file, 'ratioGap', '0', 'allowableGap', '0', 'sec', String(seconds), 'solve'],
      { encoding: 'utf8' },
    );
    if (error) throw new Error(missing, { cause: error });
    const milliseconds = performance.now() - begun;
    const isInfeasible = /infeasible/i.test(stdout);
    const value = /Optimal solution found[\s\S]*?Objective value:\s+(-?[\d.e+]+)/.exec(stdout)?.[1];
    return { isInfeasible, milliseconds, ...(value === undefined ? {} : { optimum: Math.round(Number(value)) }) };
  } finally {
    rmSync(folder, { recursive: true });
  }
}
