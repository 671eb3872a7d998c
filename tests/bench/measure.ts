import type { IntegerModel, Solver } from '@frostmoot/calc';
import { cbcStages } from '../solver/cbc.ts';
import type { Case } from './cases.ts';

/** What came of one case, in milliseconds. */
export interface Figures {
  median: number;
  worst: number;
  /** of the processor, all threads together: the median; steadier than the clock on a machine that others use too */
  processor: number;
  /** how often each standing of the proof came out */
  proofs: Map<string, number>;
  /** how many times as long CBC took for the models of the first instances as the whole computation; undefined where no model was needed */
  ahead?: number;
}

export const middle = (values: readonly number[]): number => {
  const sorted = [...values].sort((a, b) => a - b);
  const half = Math.floor(sorted.length / 2);
  return sorted.length % 2 ? (sorted[half] ?? NaN) : ((sorted[half - 1] ?? NaN) + (sorted[half] ?? NaN)) / 2;
};

/** CBC is given so long for one instance at most, since a plain program may keep it busy for an hour. */
const cbcInstances = 2;

function timeOfCbc(models: readonly IntegerModel[]): number | undefined {
  if (models.length === 0) return undefined;
  try {
    return models.reduce((total, model) => total + (cbcStages(model)?.milliseconds ?? 0), 0);
  } catch (error) {
    // A model that CBC does not finish within its time still says how far behind it is at least.
    if (error instanceof Error && /CBC ended with|did not finish/.test(error.message)) return Infinity;
    throw error;
  }
}

/** Measures one case on so many made-up instances, after one that is not counted. */
export async function measure(one: Case, instances: number, solver: Solver, withCbc: boolean): Promise<Figures> {
  const times: number[] = [];
  const proofs = new Map<string, number>();
  const ratios: number[] = [];
  const loads: number[] = [];
  await one.run(1000, solver);
  for (let seed = 1; seed <= instances; seed++) {
    const asked: IntegerModel[] = [];
    const listening: Solver = {
      solve: (model, options) => {
        asked.push(model);
        return solver.solve(model, options);
      },
    };
    const before = process.cpuUsage();
    const begun = performance.now();
    const proof = await one.run(seed, listening);
    const time = performance.now() - begun;
    const { user, system } = process.cpuUsage(before);
    times.push(time);
    loads.push((user + system) / 1000);
    proofs.set(proof, (proofs.get(proof) ?? 0) + 1);
    if (!withCbc || ratios.length >= cbcInstances) continue;
    const cbc = timeOfCbc(one.model ? [one.model(seed)] : asked);
    if (cbc !== undefined) ratios.push(cbc / time);
  }
  return {
    median: middle(times),
    worst: Math.max(...times),
    processor: middle(loads),
    proofs,
    ahead: ratios.length > 0 ? middle(ratios) : undefined,
  };
}
