import type { InputFault } from '../domain-error.ts';
import { DomainError } from '../domain-error.ts';
import type { Of, Read } from '../input.ts';
import { id, integer, invalid, list, mapOf, oneOf, optional, readInput, record, refine, text } from '../input.ts';
import type { Rational } from '../rational.ts';
import { max, mul, zero } from '../rational.ts';
import { stageNames } from './division.ts';
import { readShareOut } from './share-out-input.ts';
import type { ShareOutOutput, ShareOutProof, StageStanding } from './share-out.ts';
import { claimedNumber } from './verify-number.ts';
import type { Violation } from './verify.ts';
import { verifyShareOut } from './verify.ts';

/** One thing that is wrong with a proof file: of the share-out itself, or between it and the very containers that were assigned. */
export interface ProofViolation {
  code: Violation['code'] | 'assigned-count' | 'assigned-twice' | 'assigned-to-unknown' | 'proof-differs';
  household?: string;
  lot?: string;
  stage?: string;
  container?: string;
}

/** What a check of a proof file looked at and found. */
export interface ProofCheck {
  violations: ProofViolation[];
  households: number;
  lots: number;
  containers: number;
  /** the largest container there is, in portions as they count */
  largestContainer: Rational;
  proof: ShareOutProof;
  stages: Pick<StageStanding, 'stage' | 'proof'>[];
  /** containers named in the file; undefined when it names none */
  assigned?: number;
}

const proofs = ['optimal', 'bounded', 'constructive'] as const;
const many = { longest: 1000 };
const count = integer(Number.MIN_SAFE_INTEGER, Number.MAX_SAFE_INTEGER);
const number: Read<string> = (value, place) =>
  typeof value === 'string' && claimedNumber(value) ? value : place.fault('Must be a number as text, such as "7/2".');
const numbers = mapOf(number, many);
const counts = mapOf(count, many);
const result = record({
  proof: oneOf(proofs),
  entitlement: numbers,
  target: numbers,
  received: numbers,
  owedAfter: numbers,
  short: numbers,
  containers: mapOf(counts, many),
  unallotted: counts,
  objective: record({
    unallotted: count,
    squaredDeviation: number,
    refused: count,
    outsideFairShare: count,
    score: count,
  }),
  stages: optional(
    list(
      record({ stage: oneOf(stageNames), proof: oneOf(['shown', 'searched', 'open']), bound: optional(number) }),
      many,
    ),
  ),
  common: optional(number),
});

const isAnything: Read<unknown> = (value, place) => (value === undefined ? place.fault('Must be given.') : value);
const file = record({
  input: isAnything,
  result,
  assigned: optional(mapOf(list(id(), { longest: 100_000 }), many)),
  shareOutId: optional(text()),
  roundId: optional(text()),
  state: optional(text()),
  proof: optional(text()),
});

/** The fault of an input inside a file, pointed to from the top of the file. */
const inFile = ({ pointer, ...fault }: InputFault): InputFault => ({ ...fault, pointer: `#/input${pointer.slice(1)}` });

const plain = (given: Of<typeof result>): ShareOutOutput => ({
  ...given,
  entitlement: Object.fromEntries(given.entitlement),
  target: Object.fromEntries(given.target),
  received: Object.fromEntries(given.received),
  owedAfter: Object.fromEntries(given.owedAfter),
  short: Object.fromEntries(given.short),
  containers: Object.fromEntries(
    [...given.containers].map(([household, lots]) => [household, Object.fromEntries(lots)]),
  ),
  unallotted: Object.fromEntries(given.unallotted),
});

const readFile = refine(file, (read, place) => {
  try {
    return { ...read, result: plain(read.result), problem: readShareOut(read.input) };
  } catch (error) {
    if (!(error instanceof DomainError) || error.errors.length === 0) throw error;
    place.faults.push(...error.errors.map(inFile));
    return invalid;
  }
});

/** Every household has as many containers assigned as the result gives it, those that it held before among them, and no container stands twice. */
function wrongAssigned(
  { containers }: ShareOutOutput,
  assigned: ReadonlyMap<string, readonly string[]>,
): ProofViolation[] {
  const violations: ProofViolation[] = [];
  for (const [household, lots] of Object.entries(containers)) {
    const given = Object.values(lots).reduce((total, n) => total + n, 0);
    if ((assigned.get(household)?.length ?? 0) !== given) violations.push({ code: 'assigned-count', household });
  }
  const seen = new Set<string>();
  for (const [household, ids] of assigned) {
    if (!Object.hasOwn(containers, household)) violations.push({ code: 'assigned-to-unknown', household });
    for (const container of ids) {
      if (seen.has(container)) violations.push({ code: 'assigned-twice', household, container });
      seen.add(container);
    }
  }
  return violations;
}

/**
 * Checks a kept share-out: `{input, result, assigned?}`, as the API gives it.
 * Method: verifyShareOut, which divides nothing and knows no solver; then that each household has as many very containers `assigned` as the result gives it,
 * those that it held before among them, and none stands twice. Which lot a container is of is not in the file and cannot be checked from it.
 * Gives every violation and what there was to check. Throws `invalid-input` with every fault and its pointer when the file cannot be read.
 */
export function verifyShareOutProof(given: unknown): ProofCheck {
  const { input, problem, result: output, assigned, proof } = readInput(readFile, given);
  return {
    violations: [
      ...verifyShareOut(input, output),
      ...(assigned ? wrongAssigned(output, assigned) : []),
      ...(proof !== undefined && proof !== output.proof ? [{ code: 'proof-differs' as const }] : []),
    ],
    households: problem.households.length,
    lots: problem.lots.length,
    containers: problem.lots.reduce((total, { containers }) => total + containers, 0),
    largestContainer: problem.lots
      .filter(({ containers }) => containers > 0)
      .map(({ portions, counts: each }) => mul(portions, each))
      .reduce(max, zero),
    proof: output.proof,
    stages: (output.stages ?? []).map(({ stage, proof: standing }) => ({ stage, proof: standing })),
    assigned: assigned && [...assigned.values()].reduce((total, ids) => total + ids.length, 0),
  };
}
