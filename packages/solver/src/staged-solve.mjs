// A model solved stage by stage. Each stage keeps the optimum of those before it as a row; its own optimum is first looked for near the solution of
// the linear program, whose bound often proves it without any branching.

import { Branching } from './branching.mjs';
import { combinedRows } from './combined-rows.mjs';
import { isNearlyAll, isWide, rangesNear, WIDTHS } from './near.mjs';
import { roundedRows } from './rounding.mjs';
import { isSolution, joined, leastOf, reachOf, rowsWith, stepOf, sumOf, wholeBound } from './terms.mjs';

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
/** How often the search near a solution is tried. */
const NEAR_TURNS = 3;
/** The search near a solution is given up early: it has found most of what it finds at its root. */
const NEAR_NODES = 50;
/** Rounds of cuts for a linear program. */
const CUT_ROUNDS = 6;
const ALL_NODES = 2_147_483_647;
/** A row that is farther than this from what it allows is not reached. */
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
    /** @type {import('./terms.mjs').Kept[]} what earlier stages keep, and cuts */
    this.kept = [];
    /** @type {Terms | undefined} a stage that was reached with the one before it */
    this.alsoReached = undefined;
    this.toldAt = -Infinity;
    this.all = /** @type {const} */ ({ kind: 'range', from: 0, to: this.count - 1 });
    this.wholes = Int32Array.from(task.columns.whole);
    this.isWide = isWide(task);
    this.isRounded = task.before === 'rounding';
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
    if (relaxed.values) this.lookAround(model, stage, next, { ...relaxed, values: relaxed.values });
    if (this.isReached(stage, relaxed.bound)) return relaxed;
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
    const held = this.kept.length;
    let known = { bound: leastOf(stage, this.task), values: /** @type {Float64Array | null} */ (null) };
    for (let round = 0; ; round++) {
      const status = this.runModel(model, this.left(), undefined);
      if (status === this.status.infeasible) return 'infeasible';
      if (status !== this.status.optimal) return known;
      const values = model.getSolution().colValue;
      known = { bound: wholeBound(model.getObjectiveValue(), stepOf(stage)), values };
      this.take(stage, values);
      if (this.isReached(stage, known.bound) || this.task.before === null) return known;
      const cuts = round < CUT_ROUNDS ? roundedRows(this.task, values) : [];
      if (this.isRounded && round < CUT_ROUNDS)
        cuts.push(...combinedRows(model, rowsWith(this.task.rows, this.kept), this.task.columns, values));
      if (cuts.length === 0) {
        if (this.isRounded) this.dropIdle(model, held, values);
        return known;
      }
      for (const cut of cuts) this.keep(model, cut);
    }
  }

  /** Lets go of rows from number `from` on that values do not reach: the searches after it are sooner. @param {import('highs').Model} model @param {number} from @param {Float64Array} values */
  dropIdle(model, from, values) {
    const isIdle = (/** @type {import('./terms.mjs').Kept} */ row, /** @type {number} */ i) =>
      i >= from && row.most - reachOf(row, values) > NEARLY;
    const idle = this.kept.flatMap((row, i) => (isIdle(row, i) ? [this.task.rows.least.length + i] : []));
    if (idle.length > 0) model.deleteRows({ kind: 'set', indices: idle });
    this.kept = this.kept.filter((row, i) => !isIdle(row, i));
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
    const branching = new Branching({
      highs: this.highs,
      model,
      columns,
      rows: rowsWith(this.task.rows, this.kept),
      costs,
      step: stepOf(aim),
    });
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

  /**
   * Searches near, wider and wider.
   * @param {import('highs').Model} model
   * @param {Terms} stage
   * @param {Terms | undefined} next
   * @param {{ bound: number, values: Float64Array }} relaxed
   */
  lookAround(model, stage, next, { bound, values }) {
    const ahead = this.isRounded && this.best && next ? this.ahead(model, stage, next, bound) : null;
    const centres = ahead ? [ahead.values, values] : [values];
    let width = 0;
    for (let turn = 0; width < WIDTHS.length && this.left() > 0 && !this.isReached(stage, bound); turn++) {
      if (!this.isRounded && turn >= NEAR_TURNS) break;
      const before = this.best && sumOf(stage, this.best);
      this.searchNear(model, stage, centres[turn % centres.length] ?? values, WIDTHS[width] ?? 'between', bound);
      const isBetter = this.best && sumOf(stage, this.best) !== before;
      if (this.isRounded) width = isBetter ? Math.max(0, width - 1) : width + 1;
      // What a wider search does not better either is left to the search over everything.
      else if (turn > 0 && this.best && !isBetter) break;
      else width = 1;
    }
    if (this.isReached(stage, bound)) for (const row of ahead?.rows ?? []) this.keep(model, row);
  }

  /**
   * Where the linear program of the next stage stands if this one reaches its bound: what is found near it is good for both. Its rows hold only if it does.
   * @param {import('highs').Model} model
   * @param {Terms} stage
   * @param {Terms} next
   * @param {number} bound
   */
  ahead(model, stage, next, bound) {
    const [held, best] = [this.kept.length, this.best];
    this.keep(model, { ...stage, most: bound });
    model.changeColsCost(this.all, this.costsOf(next));
    // What does not reach the bound is no solution here.
    this.best = null;
    const relaxed = this.relax(model, next);
    this.best ??= best;
    model.changeColsCost(this.all, this.costsOf(stage));
    const rows = this.kept.splice(held);
    const from = this.task.rows.least.length + held;
    model.deleteRows({ kind: 'range', from, to: from + rows.length - 1 });
    return relaxed !== 'infeasible' && relaxed.values ? { values: relaxed.values, rows: rows.slice(1) } : null;
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

  /**
   * Looks around the best so far and the solution of a linear program (rangesNear), without a solution so far only where ranges are wide enough for that to be a
   * smaller search.
   * @param {import('highs').Model} model
   * @param {Terms} stage
   * @param {Float64Array} around
   * @param {typeof WIDTHS[number]} width
   * @param {number} bound what need not be bettered
   */
  searchNear(model, stage, around, width, bound) {
    if (!this.best && !this.isWide) return;
    const ranges = rangesNear(this.task, around, this.best, width);
    if (this.isRounded && width !== 'between' && isNearlyAll(ranges)) return;
    model.changeColsBounds(this.all, ranges.low, ranges.high);
    this.makeWhole(model);
    model.options.set({ mip_max_nodes: NEAR_NODES, ...(this.isRounded ? { objective_target: bound + 0.5 } : {}) });
    if (this.best) model.setSolution({ colValue: this.best });
    this.runModel(model, this.left() / (this.isRounded ? 2 : 4), stage);
    if (model.info.get('primal_solution_status') === this.highs.constants.solutionStatus.feasible)
      this.take(stage, model.getSolution().colValue);
    model.options.set({ mip_max_nodes: ALL_NODES, objective_target: -Number.MAX_VALUE });
    model.changeColsBounds(this.all, this.task.columns.least, this.task.columns.most);
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
    if (start && isSolution(this.task, this.kept, start)) this.best = start;
  }

  /**
   * Keeps values when they are exact and better.
   * @param {Terms} stage
   * @param {Float64Array} given
   * @returns {boolean} whether they are exact
   */
  take(stage, given) {
    const values = given.map((value) => Math.round(value) + 0);
    if (
      !given.every((value, i) => Math.abs(value - (values[i] ?? 0)) < 1e-4) ||
      !isSolution(this.task, this.kept, values)
    )
      return false;
    if (!this.best || sumOf(stage, values) < sumOf(stage, this.best)) this.best = values;
    return true;
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
