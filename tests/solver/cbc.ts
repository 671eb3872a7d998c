import { spawnSync } from 'node:child_process';
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { IntegerModel } from '@frostmoot/calc';
import { sumOfTerms } from '@frostmoot/calc';
import { lpText } from '@frostmoot/solver';

const places = ['/usr/bin/cbc', '/usr/local/bin/cbc', '/opt/homebrew/bin/cbc'];

/** Where the reference solver is. Throws a sentence that says how to install it. */
function cbcPath(): string {
  const path = places.find((place) => existsSync(place));
  if (path) return path;
  throw new Error(
    'The reference solver CBC is missing: install the Debian package coinor-cbc (apt-get install coinor-cbc), or cbc on another system.',
  );
}

/** One stage by CBC: its whole optimum and the values, by name of the variable. */
export interface CbcResult {
  value: number;
  values: Map<string, number>;
  milliseconds: number;
}

/** Solves one stage of a model with CBC, to the end; undefined when there is no solution. `reached`: the optima of the stages before. */
function cbcStage(model: IntegerModel, stage = 0, reached: readonly number[] = []): CbcResult | undefined {
  const program = cbcPath();
  const folder = mkdtempSync(join(tmpdir(), 'cbc-'));
  try {
    const [file, solution] = [join(folder, 'model.lp'), join(folder, 'solution.txt')];
    writeFileSync(file, lpText(model, stage, reached));
    const begun = performance.now();
    // With its preprocessing the version of Debian 12 was seen to miss the optimum of a knapsack row with negative coefficients.
    const careful = ['-preprocess', 'off', '-ratioGap', '0', '-allowableGap', '0.5', '-threads', '1'];
    const args = [file, ...careful, '-solve', '-solution', solution];
    const run = spawnSync(program, args, { encoding: 'utf8', timeout: 300_000 });
    const milliseconds = performance.now() - begun;
    if (run.status !== 0) throw new Error(`CBC ended with ${run.status ?? run.signal}: ${run.stderr.slice(0, 300)}`);
    const [head = '', ...lines] = readFileSync(solution, 'utf8').split('\n');
    if (/infeasible/i.test(head)) return undefined;
    if (!/^Optimal/.test(head)) throw new Error(`CBC did not finish: ${head}`);
    const values = new Map(model.variables.map(({ name }) => [name, 0]));
    for (const line of lines) {
      // Columns: number, name, value, reduced cost; only what is not nil is listed.
      const [, name = '', value = ''] = line.trim().split(/\s+/);
      const variable = /^v\d+$/.test(name) ? model.variables[Number(name.slice(1))] : undefined;
      if (variable) values.set(variable.name, Math.round(Number(value)));
    }
    return { value: Number(sumOfTerms(model.stages[stage]?.terms ?? [], values)), values, milliseconds };
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** All stages of a model by CBC, one after the other: their optima, or undefined when there is no solution. */
export function cbcStages(model: IntegerModel): { values: number[]; milliseconds: number } | undefined {
  const values: number[] = [];
  let milliseconds = 0;
  for (let stage = 0; stage < Math.max(1, model.stages.length); stage++) {
    const result = cbcStage(model, stage, values);
    if (!result) return undefined;
    values.push(result.value);
    milliseconds += result.milliseconds;
  }
  return { values, milliseconds };
}
