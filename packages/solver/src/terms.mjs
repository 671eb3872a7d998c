// What is reckoned of a stage's terms: sums, bounds, and two stages as one.

/** @typedef {import('./task.ts').Task} Task */
/** @typedef {{ indices: Int32Array, values: Float64Array }} Terms */
/** @typedef {Terms & { most: number }} Kept a row that is added to a model */

/** Two aims are joined while all of them together stays below this: a bound is then still exact to a fraction of a unit. */
const MOST_JOINED = 1e11;

/**
 * The sum of a stage or row, exact: whole numbers whose sum is checked to be one too.
 * @param {Terms} terms
 * @param {Float64Array} values
 */
export function sumOf(terms, values) {
  let sum = 0;
  terms.indices.forEach((column, i) => (sum += (terms.values[i] ?? 0) * (values[column] ?? 0)));
  if (!Number.isSafeInteger(sum)) throw new Error('A sum is too large to be exact.');
  return sum;
}

/** What a row comes to in floating point. @param {Terms} terms @param {Float64Array} values */
export function reachOf(terms, values) {
  return terms.values.reduce((sum, value, i) => sum + value * (values[terms.indices[i] ?? 0] ?? 0), 0);
}

/** The rows of a model with those that are added. @param {Task['rows']} rows @param {readonly Kept[]} kept */
export function rowsWith(rows, kept) {
  const starts = [...rows.starts];
  for (const { indices } of kept) starts.push((starts.at(-1) ?? 0) + indices.length);
  const size = starts.at(-1) ?? 0;
  const [indices, values] = [new Int32Array(size), new Float64Array(size)];
  indices.set(rows.indices);
  values.set(rows.values);
  kept.forEach((row, i) => {
    indices.set(row.indices, starts[rows.least.length + i]);
    values.set(row.values, starts[rows.least.length + i]);
  });
  return {
    least: Float64Array.from([...rows.least, ...kept.map(() => -Infinity)]),
    most: Float64Array.from([...rows.most, ...kept.map(({ most }) => most)]),
    starts: Int32Array.from(starts),
    indices,
    values,
  };
}

/**
 * Whether whole values keep all bounds and rows exactly.
 * @param {Pick<Task, 'columns' | 'rows'>} task
 * @param {readonly Kept[]} kept
 * @param {Float64Array} values
 */
export function isSolution({ columns, rows }, kept, values) {
  for (let i = 0; i < columns.least.length; i++) {
    const value = values[i] ?? NaN;
    if (!Number.isSafeInteger(value) || value < (columns.least[i] ?? 0) || value > (columns.most[i] ?? 0)) return false;
  }
  for (let r = 0; r < rows.least.length; r++) {
    let sum = 0;
    for (let k = rows.starts[r] ?? 0; k < (rows.starts[r + 1] ?? 0); k++)
      sum += (rows.values[k] ?? 0) * (values[rows.indices[k] ?? 0] ?? 0);
    if (!Number.isSafeInteger(sum) || sum < (rows.least[r] ?? 0) || sum > (rows.most[r] ?? 0)) return false;
  }
  return kept.every((row) => sumOf(row, values) <= row.most);
}

/**
 * The least multiple of `step` that is not below a bound in floating point, with room for its error.
 * @param {number} bound
 * @param {number} step what all values are multiples of
 */
export function wholeBound(bound, step = 1) {
  return Math.ceil((bound - 1e-5 - Math.abs(bound) * 1e-9) / step) * step + 0;
}

/** What every value of a stage is a multiple of. @param {Terms} stage */
export function stepOf({ values }) {
  let step = 0;
  for (const value of values) for (let rest = Math.abs(value); rest > 0;) [step, rest] = [rest, step % rest];
  return step || 1;
}

/**
 * What a stage cannot be below, by the bounds of its variables alone.
 * @param {Terms} stage
 * @param {Task} task
 */
export function leastOf(stage, { columns }) {
  let sum = 0;
  stage.indices.forEach((column, i) => {
    const value = stage.values[i] ?? 0;
    sum += value * ((value > 0 ? columns.least : columns.most)[column] ?? 0);
  });
  return sum;
}

/**
 * Two aims in one, when numbers allow: so much weight on the first that no difference in the second outweighs one `step` of it. Undefined when they do not.
 * @param {import('./task.ts').Task['columns']} columns
 * @param {Terms} first
 * @param {Terms} second
 * @returns {Terms | undefined}
 */
export function joined({ least, most }, first, second) {
  const spread = (/** @type {Terms} */ { indices, values }) =>
    indices.reduce(
      (sum, column, i) => sum + Math.abs(values[i] ?? 0) * ((most[column] ?? 0) - (least[column] ?? 0)),
      0,
    );
  const weight = spread(second) + 1;
  if (weight * (spread(first) + 1) > MOST_JOINED) return undefined;
  const sums = new Map(Array.from(first.indices, (column, i) => [column, weight * (first.values[i] ?? 0)]));
  second.indices.forEach((column, i) => sums.set(column, (sums.get(column) ?? 0) + (second.values[i] ?? 0)));
  return { indices: Int32Array.from(sums.keys()), values: Float64Array.from(sums.values()) };
}
