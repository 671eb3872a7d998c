import { createHash } from 'node:crypto';
import type { IntegerModel, Terms } from '@frostmoot/calc';
import type { Task, TaskStage } from './task.ts';

/** A model in the order of its names, whatever order it was written in: the same model is always the same arrays, and so the same solution. */
export interface Columns {
  /** names of the variables, by number of the column */
  names: string[];
  task: Pick<Task, 'columns' | 'rows' | 'stages' | 'before'>;
  /** names of the stages, the draw included */
  stageNames: string[];
}

const drawStage = 'draw';

/** Weights of the draw stay well below the limit of coefficients, and are never nil. */
const greatestWeight = 100_000;

const byName = (a: { name: string }, b: { name: string }): number => (a.name < b.name ? -1 : a.name > b.name ? 1 : 0);

/** A weight from SHA-256 of seed and name; JSON quotes both, so that no two pairs read alike. */
function drawWeight(seed: string, name: string): number {
  const hash = createHash('sha256')
    .update(JSON.stringify([seed, name]))
    .digest();
  return 1 + (hash.readUIntBE(0, 6) % greatestWeight);
}

/** Terms with each column once, without noughts, in the order of the columns. */
function collected(terms: Terms, columnOf: ReadonlyMap<string, number>, sign: 1 | -1): [number, number][] {
  const sums = new Map<number, number>();
  for (const [name, coefficient] of terms) {
    const column = columnOf.get(name) ?? 0;
    sums.set(column, (sums.get(column) ?? 0) + sign * coefficient);
  }
  return [...sums].filter(([, value]) => value !== 0).sort(([a], [b]) => a - b);
}

function stagesOf({ stages, tieBreak, variables }: IntegerModel, columnOf: ReadonlyMap<string, number>): TaskStage[] {
  const draw = tieBreak && {
    name: drawStage,
    seek: 'least' as const,
    terms: (tieBreak.variables ?? variables.map(({ name }) => name)).map(
      (name) => [name, drawWeight(tieBreak.seed, name)] as const,
    ),
  };
  return [...stages, ...(draw ? [draw] : [])].map(({ name, seek, terms }) => {
    const pairs = collected(terms, columnOf, seek === 'least' ? 1 : -1);
    return {
      name,
      indices: Int32Array.from(pairs, ([column]) => column),
      values: Float64Array.from(pairs, ([, value]) => value),
    };
  });
}

/** Turns a sound model (modelFaults) into arrays. */
export function columnsOf(model: IntegerModel): Columns {
  const variables = [...model.variables].sort(byName);
  const columnOf = new Map(variables.map(({ name }, column) => [name, column]));
  const rows = [...model.rows].sort(byName).map((row) => ({ row, pairs: collected(row.terms, columnOf, 1) }));
  const starts = [0];
  for (const { pairs } of rows) starts.push((starts.at(-1) ?? 0) + pairs.length);
  const stages = stagesOf(model, columnOf);
  return {
    names: variables.map(({ name }) => name),
    stageNames: stages.map(({ name }) => name),
    task: {
      columns: {
        least: Float64Array.from(variables, ({ least }) => least),
        most: Float64Array.from(variables, ({ most }) => most),
        whole: Uint8Array.from(variables, ({ wholeByStructure }) => (wholeByStructure ? 0 : 1)),
      },
      rows: {
        least: Float64Array.from(rows, ({ row }) => row.least ?? -Infinity),
        most: Float64Array.from(rows, ({ row }) => row.most ?? Infinity),
        starts: Int32Array.from(starts),
        indices: Int32Array.from(rows.flatMap(({ pairs }) => pairs.map(([column]) => column))),
        values: Float64Array.from(rows.flatMap(({ pairs }) => pairs.map(([, value]) => value))),
      },
      stages,
      before: model.before ?? null,
    },
  };
}
