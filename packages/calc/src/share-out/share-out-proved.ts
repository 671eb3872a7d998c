import type { Rational } from '../rational.ts';
import { isZero, max, min, rational } from '../rational.ts';
import type { Cancellation, Solver, SolverProgress, SolverResult, StageResult } from '../solver/solver.ts';
import { SolverError } from '../solver/solver.ts';
import type { StageName } from './division.ts';
import { level, settle, stageNames, wishNames } from './division.ts';
import type { Holding } from './holding.ts';
import type { ShareOutInput } from './share-out-input.ts';
import type { Started } from './share-out-model.ts';
import { allottedModel, containersName, nearestModel, wishesModel } from './share-out-model.ts';
import type { Draft, ShareOut } from './share-out.ts';
import { draftOf, objectiveOf, shareOutOf } from './share-out.ts';
import { squaresStage } from './squares.ts';
import { searchWishes } from './wish-search.ts';

export interface ProofLimits {
  /** for each of at most three searches; who wants a limit for all of them gives a solver that has one */
  milliseconds: number;
  cancel?: Cancellation;
  /** told of the division that needs no search, before there is one */
  onFirst?: (first: ShareOut) => void;
  /** told by stage of the objective */
  onProgress?: (progress: SolverProgress) => void;
}

type Found = Extract<SolverResult, { values: unknown }>;

/** Moves containers until everybody has what the solver says. */
function takeOver(holding: Holding, values: ReadonlyMap<string, number>): void {
  const { held } = holding.problem;
  const wanted = holding.counts.map((row, h) =>
    row.map((_, l) => values.get(containersName(h, l)) ?? held[h]?.[l] ?? 0),
  );
  const each = (visit: (h: number, l: number, more: number) => void): void =>
    wanted.forEach((row, h) => row.forEach((count, l) => visit(h, l, count - (holding.counts[h]?.[l] ?? 0))));
  each((h, l, more) => {
    for (let n = more; n < 0; n++) holding.move([l], h, undefined);
  });
  each((h, l, more) => {
    for (let n = more; n > 0; n--) holding.move([l], undefined, h);
  });
}

const stageOf = (name: string): StageName | undefined =>
  name.startsWith(squaresStage) ? 'squaredDeviation' : stageNames.find((stage) => stage === name);

/** Searches for the rest of a proof, from the division in view on. */
class Search {
  private readonly draft: Draft;
  private readonly solver: Solver;
  private readonly limits: ProofLimits;
  private readonly searched = new Set<StageName>();
  readonly bounds: Partial<Record<StageName, Rational>> = {};

  constructor(draft: Draft, solver: Solver, limits: ProofLimits) {
    this.draft = draft;
    this.solver = solver;
    this.limits = limits;
  }

  async run(): Promise<void> {
    if (this.isOpen('unallotted')) await this.allot();
    if (this.isOpen('unallotted')) return;
    if (this.isOpen('squaredDeviation')) await this.comeNear();
    const { proofs, holding } = this.draft.division;
    // Where only a search knows the nearest, its own model holds all that are as near, and the wishes were sought in that.
    const hasRoom = proofs.squaredDeviation === 'shown' || holding.problem.varietyWindow.n > 0n;
    if (this.isOpen('squaredDeviation') || !hasRoom) return;
    if (wishNames.some((stage) => this.isOpen(stage))) await this.meetWishes();
  }

  /** Whether anything has come of it. */
  get hasResult(): boolean {
    return this.searched.size > 0 || Object.keys(this.bounds).length > 0;
  }

  private isOpen(stage: StageName): boolean {
    return this.draft.division.proofs[stage] === 'open';
  }

  private async allot(): Promise<void> {
    const { holding } = this.draft.division;
    const found = await this.solve(allottedModel(holding));
    this.note(found.stages);
    takeOver(holding, found.values);
    level(holding);
    this.settle();
  }

  private async comeNear(): Promise<void> {
    const { scale, ...started } = nearestModel(this.draft.division, objectiveOf(this.draft.division.holding));
    const found = await this.solve(started);
    const squares = found.stages.filter(({ name }) => name.startsWith(squaresStage));
    if (squares.length === scale.stages && squares.every(({ proved }) => proved)) this.searched.add('squaredDeviation');
    else this.bounds.squaredDeviation = scale.squaresFor(squares[0]?.bound ?? scale.least);
    this.note(found.stages.filter((stage) => !squares.includes(stage)));
    if (found.status === 'optimal' && isZero(this.draft.division.holding.problem.varietyWindow)) this.noteConstant();
    takeOver(this.draft.division.holding, found.values);
    this.settle();
  }

  /** Meets wishes without the solver as far as that goes, and asks it for the rest. */
  private async meetWishes(): Promise<void> {
    await Promise.resolve();
    if (this.limits.cancel?.aborted) throw new SolverError('solver-cancelled', 'Nobody wants to know any more.');
    const { proofs } = this.draft.division;
    if (proofs.unallotted === 'shown') this.seekWishes();
    if (!wishNames.some((stage) => this.isOpen(stage))) return;
    const found = await this.solve(wishesModel(this.draft.division, objectiveOf(this.draft.division.holding)));
    this.note(found.stages);
    if (found.status === 'optimal') this.noteConstant();
    takeOver(this.draft.division.holding, found.values);
    this.settle();
  }

  private seekWishes(): void {
    const signOf = (stage: StageName): number => (stage === 'score' ? -1 : 1);
    const { proved, bound } = searchWishes(this.draft.division, (stage, number, value, least) => {
      const sign = signOf(stage);
      const known = Number.isFinite(least) ? { bound: sign * least + 0 } : {};
      this.limits.onProgress?.({ stage, number, of: wishNames.length, value: sign * value + 0, ...known });
    });
    for (const stage of proved) this.searched.add(stage);
    if (bound) this.noteBound(bound.stage, rational(BigInt(signOf(bound.stage) * bound.value)));
    this.settle();
  }

  private settle(): void {
    const { holding, isAttainable } = this.draft.division;
    this.draft.division = settle(holding, isAttainable, this.searched);
  }

  /** Wishes that no variable of a model that is solved to the end can change are the best that they can be. */
  private noteConstant(): void {
    for (const stage of wishNames) this.searched.add(stage);
  }

  private note(stages: readonly StageResult[]): void {
    for (const { name, proved, bound } of stages) {
      const stage = stageOf(name);
      if (stage === undefined) continue;
      if (proved) this.searched.add(stage);
      else this.noteBound(stage, rational(BigInt(bound)));
    }
  }

  /** Of two bounds the nearer: scores cannot be above theirs, all else not below. */
  private noteBound(stage: StageName, bound: Rational): void {
    const known = this.bounds[stage] ?? bound;
    this.bounds[stage] = stage === 'score' ? min(known, bound) : max(known, bound);
  }

  private async solve({ model, start }: Started): Promise<Found> {
    const { milliseconds, cancel, onProgress } = this.limits;
    const tell = (progress: SolverProgress): void => {
      const stage = stageOf(progress.stage);
      // The digits of the squares are no figures for a reader.
      if (stage === 'squaredDeviation') onProgress?.({ stage, number: progress.number, of: progress.of });
      else if (stage) onProgress?.({ ...progress, stage });
    };
    const found = await this.solver.solve(model, {
      milliseconds,
      start,
      ...(cancel ? { cancel } : {}),
      ...(onProgress ? { onProgress: tell } : {}),
    });
    if (found.status === 'infeasible')
      throw new SolverError('solver-inexact', 'A division that is there was not found.');
    return found;
  }
}

/**
 * Divides the sealed containers of a round fairly and proves that no division is better, stage by stage: nothing unallotted that somebody may take; least
 * sum of squared deviations from the targets; fewest refused containers; fewest containers outside the fair share of their dish; highest scores.
 * Method: shareContainers first. What its bounds do not show is searched by integer programs: the allotment where freezers are tight; the squares
 * where units could be divided better than containers seem to be; the wishes among all divisions that are as near. Ties by lot from the seed, in
 * whose order households and lots stand in the models.
 * When the solver fails or its time ends, what there is by then is the result, and `stages` says what is proved. `limits`: for each search.
 * Rejects with SolverError `solver-cancelled` when it is cancelled.
 */
export async function shareOutProved(input: ShareOutInput, solver: Solver, limits: ProofLimits): Promise<ShareOut> {
  const draft = draftOf(input);
  if (limits.onFirst) limits.onFirst(shareOutOf(draft, false));
  const search = new Search(draft, solver, limits);
  try {
    await search.run();
  } catch (error) {
    const isSpent = error instanceof SolverError && error.code !== 'solver-cancelled';
    if (!isSpent && !(error instanceof RangeError)) throw error;
  }
  return shareOutOf({ ...draft, division: { ...draft.division, bounds: search.bounds } }, search.hasResult);
}
