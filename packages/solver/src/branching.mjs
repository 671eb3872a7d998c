// Branch and bound over the linear program alone: for models whose linear program is small and near the best. A node costs one linear program that goes on from
// its parent's basis, a few milliseconds; the solver's own search spends seconds at its root on such models. Every bound is made anew in whole numbers.

/** @typedef {{ least: Float64Array, most: Float64Array, starts: Int32Array, indices: Int32Array, values: Float64Array }} Rows */
/**
 * What a node changes of the bounds of its parent, and what no solution in it is below; of a branch also the aim it came from, which way, and how far.
 * @typedef {{ parent: Node | null, columns: number[], low: number[], high: number[], bound: number, basis?: import('highs').Basis, from?: number, up?: boolean, part?: number }} Node
 */

/** Multipliers of rows are rounded to a part of a unit, this one or, where sums would be too large to be exact, a greater one; so a bound is a sum of whole numbers. */
const FINEST = 2 ** 20;
/** What is as near to a whole number as this is taken for it; a solution is checked exactly afterwards. */
const NEARLY = 1e-6;
/** From this part of the way on a column is first tried above its value. */
const UP_FROM = 0.3;

/** The linear program gets costs of about this size at most, since its tolerances do not grow with them. */
const GREATEST_COST = 1024;

/** For linear programs that go on from a basis: neither presolving nor perturbing pays for the few steps there are. */
const OPTIONS = { presolve: 'off', simplex_dual_edge_weight_strategy: 1, dual_simplex_cost_perturbation_multiplier: 0 };
const USUAL = {
  presolve: 'choose',
  simplex_dual_edge_weight_strategy: -1,
  dual_simplex_cost_perturbation_multiplier: 1,
};

export class Branching {
  /**
   * @param {{ highs: import('highs').Highs, model: import('highs').Model, columns: import('./task.ts').Task['columns'], rows: Rows, costs: Float64Array, step: number }} of
   * `model`: continuous, with the same columns and rows; its costs are changed; `step`: what every value of the aim is a multiple of
   */
  constructor({ highs, model, columns, rows, costs, step }) {
    this.highs = highs;
    this.model = model;
    this.columns = columns;
    this.rows = rows;
    this.costs = costs;
    this.step = step;
    this.count = costs.length;
    this.scale = scaleFor(columns, costs);
    const greatest = costs.reduce((most, cost) => Math.max(most, Math.abs(cost)), 1);
    /** what the linear program's costs are divided by */
    this.unit = 2 ** Math.max(0, Math.ceil(Math.log2(greatest / GREATEST_COST)));
    this.low = Float64Array.from(columns.least);
    this.high = Float64Array.from(columns.most);
    this.reduced = new Float64Array(this.count);
    /** by column, down and up: how much the aim grew for a whole unit, in sum, and how often */
    this.grown = new Float64Array(2 * this.count);
    this.tried = new Float64Array(2 * this.count);
    this.parts = -Infinity;
    this.until = Infinity;
    this.all = /** @type {const} */ ({ kind: 'range', from: 0, to: this.count - 1 });
  }

  /**
   * Searches until everything is cut off, or `until`. `take` keeps a solution when it is exact and gives the best value known.
   * @param {number} best
   * @param {number} until
   * @param {(values: Float64Array) => number | null} take null when the solution is not exact
   * @returns {number} what no solution is below; the best value when it is proved
   */
  run(best, until, take) {
    this.until = until;
    this.model.options.set(OPTIONS);
    this.model.changeColsCost(
      this.all,
      this.costs.map((cost) => cost / this.unit),
    );
    try {
      return this.search(best, until, take);
    } finally {
      this.model.options.set(USUAL);
      this.model.changeColsBounds(this.all, this.columns.least, this.columns.most);
    }
  }

  /**
   * @param {number} best
   * @param {number} until
   * @param {(values: Float64Array) => number | null} take
   * @returns {number}
   */
  search(best, until, take) {
    /** @type {Node[]} */
    const open = [{ parent: null, columns: [], low: [], high: [], bound: -Infinity }];
    for (let node = open.pop(); node; node = nextOf(open, best)) {
      this.enter(node);
      /** @type {Node | undefined} */
      let at = node;
      while (at) {
        if (performance.now() > until) return Math.min(best, at.bound, ...open.map(({ bound }) => bound));
        const solved = this.solve(at);
        if (solved === 'unclear') return Math.min(best, at.bound, ...open.map(({ bound }) => bound));
        if (solved === 'empty' || at.bound >= best) break;
        const column = this.columnToBranch(solved);
        if (column < 0) {
          const value = take(solved);
          if (value === null) return Math.min(best, at.bound, ...open.map(({ bound }) => bound));
          best = Math.min(best, value);
          break;
        }
        const basis = this.model.getBasis();
        this.fix(at, best);
        at = this.split(at, column, solved[column] ?? 0, basis, open);
      }
    }
    return best;
  }

  /** Sets the bounds of a node. @param {Node} node */
  enter(node) {
    this.low.set(this.columns.least);
    this.high.set(this.columns.most);
    /** @type {Node[]} */
    const path = [];
    for (let at = /** @type {Node | null} */ (node); at; at = at.parent) path.push(at);
    for (const { columns, low, high } of path.reverse()) {
      columns.forEach((column, i) => {
        this.low[column] = low[i] ?? 0;
        this.high[column] = high[i] ?? 0;
      });
    }
    this.model.changeColsBounds(this.all, this.low, this.high);
    if (node.basis) this.model.setBasis(node.basis);
  }

  /**
   * Solves the linear program of a node and lifts its bound.
   * @param {Node} node
   * @returns {Float64Array | 'empty' | 'unclear'} `empty`: it has no solution, as is proved
   */
  solve(node) {
    const { optimal, infeasible, unknown } = this.highs.constants.modelStatus;
    let modelStatus = this.runModel();
    if (modelStatus === unknown) {
      this.model.clearSolver();
      modelStatus = this.runModel();
    }
    if (modelStatus === infeasible) {
      const ray = this.model.getDualRay();
      if (!ray) return 'unclear';
      const dense = ray.values;
      return this.boundOf(dense, null) > 0 ||
        this.boundOf(
          dense.map((value) => -value),
          null,
        ) > 0
        ? 'empty'
        : 'unclear';
    }
    if (modelStatus !== optimal) return 'unclear';
    const { colValue, rowDual } = this.model.getSolution();
    this.parts = this.boundOf(
      rowDual.map((value) => value * this.unit),
      this.costs,
    );
    const grownTo = Math.ceil(this.parts / (this.scale * this.step)) * this.step + 0;
    this.learn(node, this.parts / this.scale);
    node.bound = Math.max(node.bound, grownTo);
    return colValue;
  }

  runModel() {
    this.model.zeroAllClocks();
    this.model.options.set('time_limit', Math.max(0.001, (this.until - performance.now()) / 1000));
    return this.model.run().modelStatus;
  }

  /**
   * What multipliers of the rows prove: no solution within the bounds of the columns has a smaller aim. Any multipliers prove something true (weak duality), so
   * they are rounded; the sums are of whole numbers, in parts of `scale`.
   * @param {Float64Array} multipliers
   * @param {Float64Array | null} costs null for an aim of nil: more than nil then proves that there is no solution
   */
  boundOf(multipliers, costs) {
    const { least, most, starts, indices, values } = this.rows;
    const { reduced, low, high } = this;
    for (let j = 0; j < this.count; j++) reduced[j] = costs ? (costs[j] ?? 0) * this.scale : 0;
    let [sum, size, greatest] = [0, 0, 0];
    const add = (/** @type {number} */ part) => {
      sum += part;
      size += Math.abs(part);
    };
    for (let r = 0; r < least.length; r++) {
      const y = Math.round((multipliers[r] ?? 0) * this.scale);
      const side = y > 0 ? (least[r] ?? 0) : (most[r] ?? 0);
      if (y === 0 || !Number.isFinite(side)) continue;
      add(y * side);
      for (let k = starts[r] ?? 0; k < (starts[r + 1] ?? 0); k++) {
        const j = indices[k] ?? 0;
        const part = y * (values[k] ?? 0);
        const next = (reduced[j] ?? 0) - part;
        greatest = Math.max(greatest, Math.abs(part), Math.abs(next));
        reduced[j] = next;
      }
    }
    for (let j = 0; j < this.count; j++) {
      const d = reduced[j] ?? 0;
      add(d * ((d > 0 ? low : high)[j] ?? 0));
    }
    return Math.max(size, greatest) < Number.MAX_SAFE_INTEGER ? sum : -Infinity;
  }

  /**
   * Narrows columns as far as their price proves that beyond it nothing is better than the best.
   * @param {Node} node
   * @param {number} best
   */
  fix(node, best) {
    const room = (best - this.step) * this.scale - this.parts;
    if (!Number.isFinite(room)) return;
    for (let j = 0; j < this.count; j++) {
      const d = this.reduced[j] ?? 0;
      const [low, high] = [this.low[j] ?? 0, this.high[j] ?? 0];
      if (d === 0 || low === high) continue;
      const steps = Math.floor(room / Math.abs(d));
      if (steps >= high - low) continue;
      if (d > 0) narrow(node, j, low, low + steps);
      else narrow(node, j, high - steps, high);
    }
    this.apply(node);
  }

  /** Gives the bounds of a node's columns to the model. @param {Node} node */
  apply({ columns, low, high }) {
    if (columns.length === 0) return;
    columns.forEach((column, i) => {
      this.low[column] = low[i] ?? 0;
      this.high[column] = high[i] ?? 0;
    });
    const order = columns.map((_, i) => i).sort((a, b) => (columns[a] ?? 0) - (columns[b] ?? 0));
    this.model.changeColsBounds(
      { kind: 'set', indices: order.map((i) => columns[i] ?? 0) },
      order.map((i) => low[i] ?? 0),
      order.map((i) => high[i] ?? 0),
    );
  }

  /** The column that promises to lift the bound most on both sides; -1 when all are whole. @param {Float64Array} values */
  columnToBranch(values) {
    const usual = [0, 1].map((side) => {
      let [sum, times] = [0, 0];
      for (let i = side; i < this.grown.length; i += 2) {
        sum += this.grown[i] ?? 0;
        times += this.tried[i] ?? 0;
      }
      return times > 0 ? sum / times : 1;
    });
    const growth = (/** @type {number} */ i) => {
      const times = this.tried[i] ?? 0;
      return Math.max(NEARLY, times > 0 ? (this.grown[i] ?? 0) / times : (usual[i % 2] ?? 1));
    };
    let [column, most] = [-1, -1];
    for (let j = 0; j < this.count; j++) {
      const part = (values[j] ?? 0) - Math.floor(values[j] ?? 0);
      if (!this.columns.whole[j] || part < NEARLY || part > 1 - NEARLY) continue;
      const score = growth(2 * j) * part * growth(2 * j + 1) * (1 - part);
      if (score > most) [column, most] = [j, score];
    }
    return column;
  }

  /** Two nodes: one to go on with, which is given back, and one that waits. @param {Node} node @param {number} column @param {number} value @param {import('highs').Basis} basis @param {Node[]} open */
  split(node, column, value, basis, open) {
    const below = Math.floor(value);
    const part = value - below;
    const child = (/** @type {boolean} */ up) => ({
      parent: node,
      columns: [column],
      low: [up ? below + 1 : (this.low[column] ?? 0)],
      high: [up ? (this.high[column] ?? 0) : below],
      bound: node.bound,
      basis,
      from: this.parts / this.scale,
      part: up ? 1 - part : part,
      up,
    });
    const up = part > UP_FROM;
    open.push(child(!up));
    const next = child(up);
    this.apply(next);
    return next;
  }

  /** Remembers how much a branch lifted the aim. @param {Node} node @param {number} value */
  learn({ from, part, up, columns: [column] }, value) {
    if (from === undefined || part === undefined || column === undefined) return;
    const i = 2 * column + (up ? 1 : 0);
    this.grown[i] = (this.grown[i] ?? 0) + Math.max(0, value - from) / part;
    this.tried[i] = (this.tried[i] ?? 0) + 1;
  }
}

/**
 * Into how many parts a unit of the aim is divided: so many that the whole aim, and a few times as much of multipliers, is still an exact sum.
 * @param {import('./task.ts').Task['columns']} columns
 * @param {Float64Array} costs
 */
function scaleFor({ least, most }, costs) {
  const size = costs.reduce(
    (sum, cost, i) => sum + Math.abs(cost) * Math.max(Math.abs(least[i] ?? 0), Math.abs(most[i] ?? 0)),
    1,
  );
  let scale = FINEST;
  while (scale > 1 && size * scale * 16 > Number.MAX_SAFE_INTEGER) scale /= 2;
  return scale;
}

/** Sets one column's bounds in a node. @param {Node} node @param {number} column @param {number} low @param {number} high */
function narrow(node, column, low, high) {
  const at = node.columns.indexOf(column);
  const i = at < 0 ? node.columns.push(column) - 1 : at;
  node.low[i] = low;
  node.high[i] = high;
}

/** Takes the node with the least bound out of those that are open; what can hold nothing better than the best is dropped. @param {Node[]} open @param {number} best */
function nextOf(open, best) {
  let least = -1;
  for (let i = open.length - 1; i >= 0; i--) {
    if ((open[i]?.bound ?? 0) >= best) open.splice(i, 1);
  }
  open.forEach(({ bound }, i) => {
    if (least < 0 || bound <= (open[least]?.bound ?? 0)) least = i;
  });
  return least < 0 ? undefined : open.splice(least, 1)[0];
}
