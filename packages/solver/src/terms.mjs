// What is reckoned of a stage's terms: sums, bounds, and two stages as one.

/** @typedef {import('./task.ts').Task} Task */
/** @typedef {{ indices: Int32Array, values: Float64Array }} Terms */

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
