// A model solved stage by stage. Each stage keeps the optimum of those before it as a row; its own optimum is first looked for near the solution of
// the linear program, whose bound often proves it without any branching.

import { Branching } from './branching.mjs';
import { roundedRows } from './rounding.mjs';
import { joined, leastOf, stepOf, sumOf, wholeBound } from './terms.mjs';

/** @typedef {import('./task.ts').Task} Task */
/** @typedef {import('./task.ts').TaskResult} TaskResult */
/** @typedef {import('./task.ts').TaskStageResult} StageResult */
/** @typedef {import('./terms.mjs').Terms} Terms */

/** A proof is reached when bound and value are less than one apart: every value is whole. */
const OPTIONS = { output_flag: false, mip_rel_gap: 0, mip_abs_gap: 0.99, random_seed: 0 };

/** For a second attempt, when a solution was not whole enough to be exact. */
const STRICT = {
  mip_feasibility_tolerance: 1e-9,
  primal_feasibility_tolerance: 1e-9,
  dual_feasibility_tolerance: 1e-9,
};

const NEWS_EVERY_MS = 100;
/** How often the search near a solution is tried, and how far around it the wider ones look. */
const NEAR_TURNS = 3;
const NEAR_ROOM = 1;
/** The search near a solution is given up early: it has found most of what it finds at its root. */
const NEAR_NODES = 50;
/** Rounds of cuts for a linear program. */
const CUT_ROUNDS = 6;
const ALL_NODES = 2_147_483_647;
/** What is as near to a whole number as this is taken for it when looking around. */
const NEARLY = 1e-6;

export class StagedSolve {
  /**
   * @param {import('highs').Highs} highs
   * @param {Task} task
   */
  constructor(highs, task) {
    this.highs = highs;
    this.task = task;
    this.status = highs.constants.modelStatus;
    this.count = task.columns.least.length;
    this.until = performance.now() + task.milliseconds;
    /** @type {Float64Array | null} the best values of the stage so far, rounded and exact */
    this.best = null;
    /** @type {StageResult[]} */
    this.done = [];
    /** @type {{ indices: Int32Array, values: Float64Array, most: number }[]} what earlier stages keep */
    this.kept = [];
    /** @type {Terms | undefined} a stage that was reached with the one before it */
    this.alsoReached = undefined;
    this.toldAt = -Infinity;
    this.all = /** @type {const} */ ({ kind: 'range', from: 0, to: this.count - 1 });
    this.wholes = Int32Array.from(task.columns.whole);
    this.isWide = isWide(task);
  }

  /** @returns {TaskResult} */
  run() {
    this.takeStart();
    for (const strict of [false, true]) {
      const result = this.highs.withModel((model) => this.solveAll(model, strict));
      if (result.status !== 'inexact') return result;
    }
    return { status: 'inexact' };
  }

  /**
   * @param {import('highs').Model} model
   * @param {boolean} strict
   * @returns {TaskResult}
   */
  solveAll(model, strict) {
    this.load(model);
    model.options.set({ ...OPTIONS, ...(strict ? STRICT : {}) });
    for (const row of this.kept)
      model.addRow(-this.highs.infinity, row.most, { indices: row.indices, values: row.values });
    // Without an aim any solution will do.
    const stages =
      this.task.stages.length > 0 ? this.task.stages : [{ indices: new Int32Array(), values: new Float64Array() }];
    for (let i = this.done.length; i < stages.length; i++) {
      const stage = stages[i] ?? stages[0];
      if (!stage) break;
      const ended = this.solveStage(model, stage, stages[i + 1]);
      if (ended === 'infeasible' || ended === 'inexact') return { status: ended };
      if (!this.best) return { status: 'nothing-found' };
      const value = sumOf(stage, this.best);
      const bound = Math.min(value, ended.bound);
      this.done.push({ value, bound, proved: bound === value });
      this.tell(null, null, this.best);
      if (bound !== value) break;
      if (stage.indices.length > 0) {
        this.keep(model, { ...stage, most: value });
      }
    }
    if (!this.best) return { status: 'nothing-found' };
    return { status: 'solved', values: this.best, stages: this.done.slice(0, this.task.stages.length) };
  }

  /**
   * @param {import('highs').Model} model
   * @param {Terms} stage
   * @param {Terms | undefined} next the stage after it
   * @returns {'infeasible' | 'inexact' | { bound: number }}
   */
  solveStage(model, stage, next) {
    if (this.best && stage.indices.length === 0) return { bound: 0 };
    if (this.best && stage === this.alsoReached) return { bound: sumOf(stage, this.best) };
    model.changeColsCost(this.all, this.costsOf(stage));

    const relaxed = this.relax(model, stage);
    if (relaxed === 'infeasible') return 'infeasible';
    if (this.isReached(stage, relaxed.bound)) return relaxed;
    if (this.task.before === 'branching') {
      relaxed.bound = Math.max(relaxed.bound, this.branch(model, stage, next));
      if (this.isReached(stage, relaxed.bound)) return relaxed;
    }
    for (let turn = 0; turn < NEAR_TURNS && relaxed.values && this.left() > 0; turn++) {
      const before = this.best && sumOf(stage, this.best);
      this.searchNear(model, stage, relaxed.values, turn);
      if (this.isReached(stage, relaxed.bound)) return relaxed;
      // What a wider search does not better either is left to the search over everything.
      if (turn > 0 && this.best && sumOf(stage, this.best) === before) break;
    }
    if (this.left() <= 0) return relaxed;
    return this.search(model, stage, relaxed.bound);
  }

  /**
   * The linear program: a bound, and sometimes the solution at once.
   * @param {import('highs').Model} model
   * @param {Terms} stage
   * @returns {'infeasible' | { bound: number, values: Float64Array | null }}
   */
  relax(model, stage) {
    model.clearIntegrality();
    let known = { bound: leastOf(stage, this.task), values: /** @type {Float64Array | null} */ (null) };
    for (let round = 0; round <= CUT_ROUNDS; round++) {
      const status = this.runModel(model, this.left(), undefined);
      if (status === this.status.infeasible) return 'infeasible';
      if (status !== this.status.optimal) return known;
      const values = model.getSolution().colValue;
      known = { bound: wholeBound(model.getObjectiveValue(), stepOf(stage)), values };
      this.take(stage, values);
      if (this.isReached(stage, known.bound) || this.task.before === null) return known;
      const cuts = round < CUT_ROUNDS ? roundedRows(this.task, values) : [];
      if (cuts.length === 0) return known;
      for (const cut of cuts) this.keep(model, cut);
    }
    return known;
  }

  /**
   * Branches on the linear program, for two thirds of the time that is left; where it can, for the next stage too, whose linear program would begin again from nothing.
   * @param {import('highs').Model} model
   * @param {Terms} stage
   * @param {Terms | undefined} next
   * @returns {number} what no solution is below in this stage
   */
  branch(model, stage, next) {
    const { columns } = this.task;
    const both = this.best && next && joined(columns, stage, next);
    const aim = both ?? stage;
    const costs = this.costsOf(aim);
    const branching = new Branching({ highs: this.highs, model, columns, rows: this.rows(), costs, step: stepOf(aim) });
    const known = this.best ? sumOf(aim, this.best) : Infinity;
    const bound = branching.run(known, performance.now() + (this.left() * 2) / 3, (values) => {
      const isExact = this.take(aim, values);
      if (isExact && this.best) this.tell(sumOf(stage, this.best), null, this.best);
      return isExact && this.best ? sumOf(aim, this.best) : null;
    });
    model.changeColsCost(this.all, this.costsOf(stage));
    if (!this.best || sumOf(aim, this.best) > bound) return both ? -Infinity : bound;
    if (both) this.alsoReached = next;
    return sumOf(stage, this.best);
  }

  /** A row for this stage and all after it. @param {import('highs').Model} model @param {Terms & { most: number }} row */
  keep(model, row) {
    model.addRow(-this.highs.infinity, row.most, { indices: row.indices, values: row.values });
    this.kept.push(row);
  }

  /** @param {Terms} stage */
  costsOf(stage) {
    const costs = new Float64Array(this.count);
    stage.indices.forEach((column, i) => (costs[column] = stage.values[i] ?? 0));
    return costs;
  }

  /** The rows with those that earlier stages keep. */
  rows() {
    const { rows } = this.task;
    const [starts, indices, values] = [[...rows.starts], [...rows.indices], [...rows.values]];
    for (const row of this.kept) {
      indices.push(...row.indices);
      values.push(...row.values);
      starts.push(indices.length);
    }
    return {
      least: Float64Array.from([...rows.least, ...this.kept.map(() => -Infinity)]),
      most: Float64Array.from([...rows.most, ...this.kept.map(({ most }) => most)]),
      starts: Int32Array.from(starts),
      indices: Int32Array.from(indices),
      values: Float64Array.from(values),
    };
  }

  /**
   * Looks between the best so far and the solution of the linear program: where both agree nothing is changed, elsewhere values may go from one to the other
   * and, from the second turn on, a little further. (Relaxation induced neighbourhood search; Danna, Rothberg and Le Pape, Math. Programming 102,
   * 2005.) Without a solution so far it looks next to the linear program's, where ranges are wide enough for that to be a smaller search.
   * @param {import('highs').Model} model
   * @param {Terms} stage
   * @param {Float64Array} around
   * @param {number} turn
   */
  searchNear(model, stage, around, turn) {
    if (!this.best && !this.isWide) return;
    const { least, most } = this.task.columns;
    const [low, high] = [Float64Array.from(least), Float64Array.from(most)];
    const room = this.best ? Math.min(turn, NEAR_ROOM) : NEAR_ROOM;
    for (let i = 0; i < this.count; i++) {
      const there = around[i] ?? 0;
      const here = this.best ? (this.best[i] ?? 0) : Math.round(there);
      if (this.best && (!this.wholes[i] || Math.abs(there - here) < NEARLY)) {
        if (this.wholes[i]) low[i] = high[i] = here;
        continue;
      }
      low[i] = Math.max(low[i] ?? 0, Math.min(Math.floor(there + NEARLY), here) - room);
      high[i] = Math.min(high[i] ?? 0, Math.max(Math.ceil(there - NEARLY), here) + room);
    }
    model.changeColsBounds(this.all, low, high);
    this.makeWhole(model);
    model.options.set('mip_max_nodes', NEAR_NODES);
    if (this.best) model.setSolution({ colValue: this.best });
    this.runModel(model, this.left() / 4, stage);
    if (model.info.get('primal_solution_status') === this.highs.constants.solutionStatus.feasible)
      this.take(stage, model.getSolution().colValue);
    model.options.set('mip_max_nodes', ALL_NODES);
    model.changeColsBounds(this.all, least, most);
  }

  /**
   * Branch and bound over everything.
   * @param {import('highs').Model} model
   * @param {Terms} stage
   * @param {number} known a bound that is known already
   * @returns {'infeasible' | 'inexact' | { bound: number }}
   */
  search(model, stage, known) {
    this.makeWhole(model);
    if (this.best) model.setSolution({ colValue: this.best });
    const status = this.runModel(model, this.left(), stage);
    if (status === this.status.infeasible) return this.best ? 'inexact' : 'infeasible';
    const limited = [this.status.timeLimit, this.status.interrupted, this.status.solutionLimit].some(
      (s) => s === status,
    );
    if (status !== this.status.optimal && !limited) throw new Error(`HiGHS ended with model status ${status}.`);
    const dual = model.info.get('mip_dual_bound');
    const bound = Math.max(known, Number.isFinite(dual) ? wholeBound(Number(dual), stepOf(stage)) : -Infinity);
    if (model.info.get('primal_solution_status') === this.highs.constants.solutionStatus.feasible) {
      const isExact = this.take(stage, model.getSolution().colValue);
      // The optimum of the solver is whole; when its values are not, the proof does not count.
      if (!isExact && status === this.status.optimal && !this.isReached(stage, bound)) return 'inexact';
    }
    return { bound };
  }

  /**
   * @param {import('highs').Model} model
   * @param {number} milliseconds
   * @param {Terms | undefined} stage what improving solutions are measured with
   */
  runModel(model, milliseconds, stage) {
    model.zeroAllClocks();
    model.options.set('time_limit', Math.max(0.001, milliseconds / 1000));
    const types = this.highs.constants.callbackType;
    const { memoryBytes } = this.task;
    const result = stage
      ? model.run({
          [types.mipInterrupt]: (event) => {
            if (this.highs.memoryBytes > memoryBytes) event.interrupt();
            this.tell(event.data.mip_primal_bound ?? null, event.data.mip_dual_bound ?? null, null);
          },
        })
      : model.run();
    return result.modelStatus;
  }

  /** @param {import('highs').Model} model */
  load(model) {
    const { columns, rows } = this.task;
    model.passModel({
      numCols: this.count,
      numRows: rows.least.length,
      colCost: new Float64Array(this.count),
      colLower: columns.least,
      colUpper: columns.most,
      rowLower: rows.least,
      rowUpper: rows.most,
      matrix: {
        format: 'csr',
        numRows: rows.least.length,
        numCols: this.count,
        starts: rows.starts,
        indices: rows.indices,
        values: rows.values,
      },
      integrality: this.wholes,
    });
  }

  /** @param {import('highs').Model} model */
  makeWhole(model) {
    model.changeColsIntegrality(this.all, this.wholes);
  }

  takeStart() {
    const { start } = this.task;
    if (start && this.isSolution(start)) this.best = start;
  }

  /**
   * Keeps values when they are exact and better.
   * @param {Terms} stage
   * @param {Float64Array} given
   * @returns {boolean} whether they are exact
   */
  take(stage, given) {
    const values = given.map((value) => Math.round(value) + 0);
    if (!given.every((value, i) => Math.abs(value - (values[i] ?? 0)) < 1e-4) || !this.isSolution(values)) return false;
    if (!this.best || sumOf(stage, values) < sumOf(stage, this.best)) this.best = values;
    return true;
  }

  /** @param {Float64Array} values whole */
  isSolution(values) {
    const { columns, rows } = this.task;
    for (let i = 0; i < this.count; i++) {
      const value = values[i] ?? NaN;
      if (!Number.isSafeInteger(value) || value < (columns.least[i] ?? 0) || value > (columns.most[i] ?? 0))
        return false;
    }
    for (let r = 0; r < rows.least.length; r++) {
      let sum = 0;
      for (let k = rows.starts[r] ?? 0; k < (rows.starts[r + 1] ?? 0); k++)
        sum += (rows.values[k] ?? 0) * (values[rows.indices[k] ?? 0] ?? 0);
      if (!Number.isSafeInteger(sum) || sum < (rows.least[r] ?? 0) || sum > (rows.most[r] ?? 0)) return false;
    }
    return this.kept.every((row) => sumOf(row, values) <= row.most);
  }

  /**
   * @param {Terms} stage
   * @param {number} bound
   */
  isReached(stage, bound) {
    return this.best !== null && sumOf(stage, this.best) <= bound;
  }

  left() {
    return this.until - performance.now();
  }

  /**
   * @param {number | null} value
   * @param {number | null} bound
   * @param {Float64Array | null} values
   */
  tell(value, bound, values) {
    const now = performance.now();
    if (!values && now - this.toldAt < NEWS_EVERY_MS) return;
    this.toldAt = now;
    const finite = (/** @type {number | null} */ n) =>
      n !== null && Number.isFinite(n) && Math.abs(n) < 1e15 ? n : null;
    /** @type {import('./task.ts').TaskNews} */
    const news = {
      stage: Math.min(this.done.length, Math.max(0, this.task.stages.length - 1)),
      value: finite(value) === null ? null : Math.round(Number(value)),
      bound: finite(bound) === null ? null : wholeBound(Number(bound)),
      values,
      done: this.done,
    };
    this.task.port.postMessage(news);
  }
}

/** Whether most columns have a range worth narrowing. @param {Task} task */
function isWide({ columns }) {
  let wide = 0;
  columns.least.forEach((least, i) => (wide += (columns.most[i] ?? 0) - least > 2 * NEAR_ROOM + 1 ? 1 : 0));
  return wide * 2 > columns.least.length;
}
