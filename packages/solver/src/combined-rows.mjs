// Rows that follow for whole numbers from several rows of a model together: what ties households to each other, which no row says by itself.

/** @typedef {import('./rounding.mjs').Cut} Cut */
/** @typedef {{ least: Float64Array, most: Float64Array, starts: Int32Array, indices: Int32Array, values: Float64Array }} Rows */

/** The multipliers of a basis are fractions; those with one of these denominators are used, which come from the sizes of containers and products of them. */
const DIVISORS = [2, 3, 4, 6, 8, 9, 12, 18, 24, 36, 48];
/** A cut from more rows than this, or with more columns, costs the linear program more than it gives. */
const MOST_ROWS = 150;
const MOST_COLUMNS = 400;
/** Coefficients of a cut stay below this: the solver is in floating point. */
const GREATEST = 100_000;
/** How far beyond a cut, as a length, a solution must be for it to be worth a row. */
const LEAST_DISTANCE = 0.005;
/** Of two cuts whose normals have more than this as cosine the weaker one adds nothing. */
const MOST_ALIKE = 0.5;
/** A multiplier, or a distance from a whole number, that is taken for nil. */
const NEARLY = 1e-5;

/** @param {number} value */
const isNearlyWhole = (value) => Math.abs(value - Math.round(value)) < NEARLY;

/** @param {number} value @param {number} divisor */
const rest = (value, divisor) => ((value % divisor) + divisor) % divisor;

/**
 * Cuts by mixed-integer rounding from sums of rows: for each column that is not whole in the basis of a linear program, the rows in the proportions in which they
 * make it up (Gomory, RM-2597, RAND, 1960, in the form of Nemhauser and Wolsey, Mathematical Programming 46, 1990). Those that are alike are left out.
 * @param {import('highs').Model} model solved, with these rows and columns
 * @param {Rows} rows
 * @param {import('./task.ts').Task['columns']} columns
 * @param {Float64Array} values its solution
 * @returns {Cut[]}
 */
export function combinedRows(model, rows, columns, values) {
  /** @type {(Cut & { distance: number })[]} */
  const cuts = [];
  const combining = new Combining(rows, columns, values);
  model.getBasicVariables().forEach((column, place) => {
    const value = values[column] ?? 0;
    if (column < 0 || isNearlyWhole(value)) return;
    const { values: all, nonzeroIndices = all.keys() } = model.getBasisInverseRow(place, true);
    const used = [...nonzeroIndices].filter((r) => Math.abs(all[r] ?? 0) > NEARLY);
    const divisor =
      used.length > MOST_ROWS ? undefined : DIVISORS.find((d) => used.every((r) => isNearlyWhole((all[r] ?? 0) * d)));
    if (divisor === undefined) return;
    const cut = combining.cut(
      used,
      used.map((r) => Math.round((all[r] ?? 0) * divisor)),
      divisor,
    );
    if (cut) cuts.push(cut);
  });
  return unlike(cuts.sort((a, b) => b.distance - a.distance));
}

/** @param {(Cut & { distance: number })[]} cuts the best first */
function unlike(cuts) {
  /** @type {Cut[]} */
  const kept = [];
  for (const cut of cuts) {
    const length = Math.hypot(...cut.values);
    const at = new Map(Array.from(cut.indices, (column, i) => [column, (cut.values[i] ?? 0) / length]));
    const isAlike = kept.some(({ indices, values }) => {
      const product = values.reduce((sum, value, i) => sum + value * (at.get(indices[i] ?? 0) ?? 0), 0);
      return product > MOST_ALIKE * Math.hypot(...values);
    });
    if (!isAlike) kept.push({ indices: cut.indices, values: cut.values, most: cut.most });
  }
  return kept;
}

export class Combining {
  /**
   * @param {Rows} rows of whole numbers
   * @param {import('./task.ts').Task['columns']} columns
   * @param {Float64Array} values of the linear program
   */
  constructor(rows, columns, values) {
    this.rows = rows;
    this.columns = columns;
    this.values = values;
    /** by column: its coefficient in the sum of rows, and then in the cut */
    this.sums = new Float64Array(values.length);
    this.isIn = new Uint8Array(values.length);
  }

  /**
   * The cut that the rows, so many times each, give with a divisor, on the side on which the values break it most. Multipliers may be lessened by the divisor: the
   * slack of a row is whole, and the cut stays the same.
   * @param {readonly number[]} used numbers of rows
   * @param {readonly number[]} multipliers whole
   * @param {number} divisor
   * @returns {(Cut & { distance: number }) | undefined} undefined where there is none worth a row
   */
  cut(used, multipliers, divisor) {
    /** @type {{ row: number, times: number }[]} */
    const parts = [];
    used.forEach((row, i) => {
      const more = rest(multipliers[i] ?? 0, divisor);
      if (more !== 0) parts.push({ row, times: 2 * more > divisor ? more - divisor : more });
    });
    if (parts.length === 0 || parts.length > MOST_ROWS) return undefined;
    /** @type {number[]} */
    const touched = [];
    for (const { row, times } of parts)
      this.each(row, (column, value) => {
        if (!this.isIn[column]) touched.push(column);
        this.isIn[column] = 1;
        this.sums[column] = (this.sums[column] ?? 0) + times * value;
      });
    const sums = touched.map((column) => this.sums[column] ?? 0);
    const isWhole = touched.every((column) => this.columns.whole[column]);
    let best;
    for (const sign of isWhole ? [1, -1] : []) {
      const cut = this.rounded(parts, touched, sums, sign, divisor);
      if (cut && cut.distance > (best?.distance ?? 0)) best = cut;
    }
    for (const column of touched) this.isIn[column] = this.sums[column] = 0;
    return best;
  }

  /**
   * sum of `sums` x - sum of `times` z = 0, where z is what a row comes to, its nearer end less or more a whole slack; rounded with slacks and columns counted
   * from their nearer ends, and the slacks then put back as what the rows say they are.
   * @param {readonly { row: number, times: number }[]} parts
   * @param {readonly number[]} touched
   * @param {readonly number[]} sums
   * @param {number} sign
   * @param {number} divisor
   */
  rounded(parts, touched, sums, sign, divisor) {
    const { least, most } = this.columns;
    let room = 0;
    const ends = parts.map(({ row, times }) => {
      const [low, high] = [this.rows.least[row] ?? 0, this.rows.most[row] ?? 0];
      let reach = 0;
      this.each(row, (column, value) => (reach += value * (this.values[column] ?? 0)));
      const isHigh = high - reach <= reach - low;
      room += sign * times * (isHigh ? high : low);
      return { isHigh, isFixed: low === high, end: isHigh ? high : low };
    });
    const turned = touched.map((column) => 2 * (this.values[column] ?? 0) > (least[column] ?? 0) + (most[column] ?? 0));
    const endOf = (/** @type {number} */ i) => (turned[i] ? most : least)[touched[i] ?? 0] ?? 0;
    sums.forEach((sum, i) => (room -= sign * sum * endOf(i)));
    const r = rest(room, divisor);
    if (r === 0) return undefined;
    const round = (/** @type {number} */ value) => {
      const f = rest(value, divisor);
      return ((divisor - r) * (value - f)) / divisor + Math.max(0, f - r);
    };
    let limit = ((divisor - r) * (room - r)) / divisor;
    let size = Math.abs(limit);
    const add = (/** @type {number} */ amount) => {
      limit += amount;
      size += Math.abs(amount);
    };
    touched.forEach((column, i) => {
      const sum = sign * (sums[i] ?? 0);
      const value = turned[i] ? -round(-sum) : round(sum);
      this.sums[column] = value;
      add(value * endOf(i));
    });
    parts.forEach(({ row, times }, i) => {
      const { isHigh, isFixed, end } = ends[i] ?? { isHigh: true, isFixed: true, end: 0 };
      // What a row of an equation lacks is nil, whatever it counts.
      const value = isFixed ? 0 : (isHigh ? -1 : 1) * round((isHigh ? 1 : -1) * sign * times);
      if (value === 0) return;
      add(value * end);
      this.each(row, (column, term) => {
        this.sums[column] = (this.sums[column] ?? 0) + value * term;
        size = Math.max(size, Math.abs(value * term), Math.abs(this.sums[column] ?? 0));
      });
    });
    return size < Number.MAX_SAFE_INTEGER ? this.written(touched, limit) : undefined;
  }

  /** The cut with its coefficients divided by what they have in common. @param {readonly number[]} touched @param {number} limit */
  written(touched, limit) {
    const columns = touched.filter((column) => this.sums[column] !== 0).sort((a, b) => a - b);
    if (columns.length === 0 || columns.length > MOST_COLUMNS) return undefined;
    let common = 0;
    for (const column of columns)
      for (let next = Math.abs(this.sums[column] ?? 0); next > 0;) [common, next] = [next, common % next];
    const values = Float64Array.from(columns, (column) => (this.sums[column] ?? 0) / common);
    const most = Math.floor(limit / common);
    const reach = values.reduce((sum, value, i) => sum + value * (this.values[columns[i] ?? 0] ?? 0), 0);
    const distance = (reach - most) / Math.hypot(...values);
    if (distance < LEAST_DISTANCE || values.some((value) => Math.abs(value) > GREATEST)) return undefined;
    return { indices: Int32Array.from(columns), values, most, distance };
  }

  /** @param {number} row @param {(column: number, value: number) => void} tell */
  each(row, tell) {
    const { starts, indices, values } = this.rows;
    for (let k = starts[row] ?? 0; k < (starts[row + 1] ?? 0); k++) tell(indices[k] ?? 0, values[k] ?? 0);
  }
}
