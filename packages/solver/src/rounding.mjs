// Rows that follow from the rows of a model for whole numbers only, and that a solution of its linear program does not keep.

/** @typedef {{ indices: Int32Array, values: Float64Array, most: number }} Cut */

/** How far beyond a cut, as a length, a solution must be for it to be worth a row. */
const LEAST_DISTANCE = 0.02;
/** A column counts from its other end where it is beyond this part of its range. */
const TURNED_FROM = [0.5, 0.001, 0.999];
/** Divisors up to this are tried; they are meant for rows of small numbers, such as sizes of containers. */
const GREATEST_DIVISOR = 12;

/** @param {number} value */
const isNearlyWhole = (value) => Math.abs(value - Math.round(value)) < 1e-6;

/** @param {number} value @param {number} divisor */
const rest = (value, divisor) => ((value % divisor) + divisor) % divisor;

/**
 * For every row and side the cut by mixed-integer rounding that `values` break most (Nemhauser and Wolsey, Mathematical Programming 46, 1990):
 * with columns counted from one end of their range, sum a x <= b, a divisor d and r = b mod d, whole x keep
 * sum ((d - r) floor(a / d) + max(0, a mod d - r)) x <= (d - r) floor(b / d). All in whole numbers, from rows and bounds of the model alone, so every solution keeps it.
 * @param {Pick<import('./task.ts').Task, 'columns' | 'rows'>} task
 * @param {Float64Array} values
 * @returns {Cut[]}
 */
export function roundedRows({ rows, columns }, values) {
  /** @type {Cut[]} */
  const cuts = [];
  for (let r = 0; r < rows.least.length; r++) {
    const [from, to] = [rows.starts[r] ?? 0, rows.starts[r + 1] ?? 0];
    const indices = rows.indices.subarray(from, to);
    if (!indices.every((column) => columns.whole[column])) continue;
    // Whole values within the row break nothing that follows from it for whole numbers.
    if (indices.every((column) => isNearlyWhole(values[column] ?? 0))) continue;
    const terms = rows.values.subarray(from, to);
    if (terms.every((value) => Math.abs(value) === 1)) continue;
    for (const [sign, side] of [
      [1, rows.most[r] ?? Infinity],
      [-1, -(rows.least[r] ?? -Infinity)],
    ]) {
      if (side === undefined || sign === undefined || !Number.isFinite(side)) continue;
      const cut = bestCut(
        indices,
        terms.map((value) => sign * value),
        side,
        columns,
        values,
      );
      if (cut) cuts.push(cut);
    }
  }
  return cuts;
}

/**
 * @param {Int32Array} indices
 * @param {Float64Array} terms
 * @param {number} side
 * @param {import('./task.ts').Task['columns']} columns
 * @param {Float64Array} values
 * @returns {Cut | undefined}
 */
function bestCut(indices, terms, side, { least, most }, values) {
  let best;
  let farthest = LEAST_DISTANCE;
  for (const part of TURNED_FROM) {
    const turned = Array.from(indices, (column) => {
      const [low, high] = [least[column] ?? 0, most[column] ?? 0];
      return (values[column] ?? 0) > low + part * (high - low);
    });
    // Each column is counted from `ends`, upwards or, when it is turned, downwards.
    const ends = turned.map((isTurned, i) => (isTurned ? most : least)[indices[i] ?? 0] ?? 0);
    const room = terms.reduce((sum, term, i) => sum - term * (ends[i] ?? 0), side);
    for (let divisor = 2; divisor <= GREATEST_DIVISOR; divisor++) {
      const r = rest(room, divisor);
      if (r === 0) continue;
      const cut = Float64Array.from(terms, (term, i) => {
        const counted = turned[i] ? -term : term;
        const f = rest(counted, divisor);
        const value = ((divisor - r) * (counted - f)) / divisor + Math.max(0, f - r);
        return turned[i] ? -value : value;
      });
      const limit = cut.reduce((sum, value, i) => sum + value * (ends[i] ?? 0), ((divisor - r) * (room - r)) / divisor);
      const reach = cut.reduce((sum, value, i) => sum + value * (values[indices[i] ?? 0] ?? 0), 0);
      const distance = (reach - limit) / Math.sqrt(cut.reduce((sum, value) => sum + value * value, 1e-9));
      if (distance <= farthest) continue;
      farthest = distance;
      const used = [...indices.keys()].filter((i) => cut[i] !== 0);
      best = {
        indices: Int32Array.from(used, (i) => indices[i] ?? 0),
        values: Float64Array.from(used, (i) => cut[i] ?? 0),
        most: limit,
      };
    }
  }
  return best;
}
