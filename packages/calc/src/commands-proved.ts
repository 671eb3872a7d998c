import { canonicalJson } from './canonical.ts';
import { explainPlanRound } from './plan-round/explain-plan-round.ts';
import type { PlanRoundExplanation } from './plan-round/explain-plan-round.ts';
import { readPlanRound } from './plan-round/plan-round-input.ts';
import { planRoundProved } from './plan-round/plan-round-proved.ts';
import type { PlanRound } from './plan-round/plan-round.ts';
import { writePlanRound } from './plan-round/plan-round.ts';
import { verifyPlanRound } from './plan-round/verify-plan-round.ts';
import { readRota } from './rota/rota-input.ts';
import { rotaProved } from './rota/rota-proved.ts';
import type { RotaOutput } from './rota/rota.ts';
import { writeRota } from './rota/rota.ts';
import { verifyRota } from './rota/verify-rota.ts';
import { runSheetProved } from './run-sheet/run-sheet-proved.ts';
import type { RunSheetResult } from './run-sheet/run-sheet.ts';
import { verifyRunSheet } from './run-sheet/verify-run-sheet.ts';
import { readShareOut } from './share-out/share-out-input.ts';
import { shareOutProved } from './share-out/share-out-proved.ts';
import type { ShareOutOutput } from './share-out/share-out.ts';
import { writeShareOut } from './share-out/share-out.ts';
import { verifyShareOut } from './share-out/verify.ts';
import type { Solver } from './solver/solver.ts';
import type { RingProposal } from './swaps/ring-proposals.ts';
import { ringProposals } from './swaps/ring-proposals.ts';
import { readSwapMatch } from './swap-match/swap-input.ts';
import { swapMatchProved } from './swap-match/swap-match-proved.ts';
import type { SwapMatch } from './swap-match/swap-match.ts';
import { writeSwapMatch } from './swap-match/swap-match.ts';
import { verifySwapMatch } from './swap-match/verify-swap-match.ts';

/** What a calculation proves with, and whom it tells how far it is. */
export interface Proving<First> {
  solver: Solver;
  /** for each search of the solver */
  milliseconds: number;
  /** told of what is found without the solver, and by some of each better result */
  onFirst: (first: First) => void;
  onStage: (stage: string) => void;
}

/** Nothing leaves here that its verifier, which searches for nothing itself, does not agree with. */
function requireHolds(name: string, violations: readonly unknown[]): void {
  if (violations.length > 0) throw new Error(`The result of ${name} does not hold: ${canonicalJson(violations)}`);
}

async function provedShareOut(input: unknown, proving: Proving<ShareOutOutput>): Promise<ShareOutOutput> {
  const { solver, milliseconds, onFirst, onStage } = proving;
  const result = writeShareOut(
    await shareOutProved(readShareOut(input), solver, {
      milliseconds,
      onFirst: (first) => onFirst(writeShareOut(first)),
      onProgress: ({ stage }) => onStage(stage),
    }),
  );
  requireHolds('share-out', verifyShareOut(input, result));
  return result;
}

async function provedRota(input: unknown, { solver, milliseconds }: Proving<never>): Promise<RotaOutput> {
  const result = writeRota(await rotaProved(readRota(input), solver, { milliseconds }));
  requireHolds('rota', verifyRota(input, result));
  return result;
}

/** The rings of the matching, ready to be proposed. */
async function provedRings(input: unknown, proving: Proving<RingProposal[]>): Promise<RingProposal[]> {
  const { solver, milliseconds, onFirst } = proving;
  const read = readSwapMatch(input);
  const proposals = (match: SwapMatch): RingProposal[] => ringProposals(match, read);
  const limits = { milliseconds, onFirst: (first: SwapMatch) => onFirst(proposals(first)) };
  const match = await swapMatchProved(read, solver, limits);
  requireHolds('swap-match', verifySwapMatch(input, writeSwapMatch(match)));
  return proposals(match);
}

async function provedPlanRound(
  input: unknown,
  { solver, milliseconds, onFirst }: Proving<PlanRound>,
): Promise<{ plan: PlanRound; explanation: PlanRoundExplanation }> {
  const read = readPlanRound(input);
  const plan = await planRoundProved(read, solver, { milliseconds, onFirst });
  requireHolds('plan-round', verifyPlanRound(input, writePlanRound(plan)));
  return { plan, explanation: explainPlanRound(plan, read) };
}

async function provedRunSheet(input: unknown, proving: Proving<RunSheetResult>): Promise<RunSheetResult> {
  const { solver, milliseconds, onFirst } = proving;
  const result = await runSheetProved(input, solver, { milliseconds, onBetter: onFirst });
  requireHolds('run-sheet', verifyRunSheet(input, result));
  return result;
}

/**
 * Calculations with a solver, by name, for whoever runs them in a thread of its own: each takes unknown input as its command does, is verified, and gives what a
 * structured clone carries (maps and bigints among it). When the solver ends before its proof the best so far is the result.
 */
export const provedCommands = {
  'plan-round': provedPlanRound,
  rota: provedRota,
  'run-sheet': provedRunSheet,
  'share-out': provedShareOut,
  'swap-match': provedRings,
} as const;

export type ProvedName = keyof typeof provedCommands;
export type Proved<Name extends ProvedName> = Awaited<ReturnType<(typeof provedCommands)[Name]>>;
export type FirstOf<Name extends ProvedName> = Parameters<Parameters<(typeof provedCommands)[Name]>[1]['onFirst']>[0];
