import { canonicalJson } from '../canonical.ts';
import type { Rational } from '../rational.ts';
import { abs, add, cmp, div, format, isZero, mul, one, rational, sub, sum, tryParse, zero } from '../rational.ts';
import type { Limit } from './limits.ts';
import type { RotaHousehold, RotaInput } from './rota-input.ts';
import { readRota } from './rota-input.ts';
import type { RotaOutput } from './rota.ts';
import { claimedNumber } from '../share-out/verify-number.ts';
import { canBeKept } from './verify-conflict.ts';

/** One thing that a rota gets wrong: what, and where. */
export interface RotaViolation {
  code:
    | 'unknown-week'
    | 'unknown-household'
    | 'turn-twice'
    | 'limit-broken'
    | 'limit-kept'
    | 'target-wrong'
    | 'given-wrong'
    | 'owed-wrong'
    | 'could-be-nearer'
    | 'limit-twice'
    | 'proof-unknown'
    | 'bound-wrong'
    | 'common-wrong'
    | 'conflict-missing'
    | 'conflict-unknown'
    | 'conflict-possible'
    | 'conflict-reducible';
  household?: string;
  week?: string;
  limit?: Limit;
}

const keyOf = (week: string, household: string): string => JSON.stringify([week, household]);

/** The limits that turns do not keep; a team of the wrong size as the number that cooks. */
function brokenLimits({ weeks, households, kept }: RotaInput, turns: ReadonlySet<string>): Limit[] {
  const order = weeks.map(({ id }) => id).sort();
  return weeks.flatMap(({ id: week, team, potMl, dishes }): Limit[] => {
    const cooks = households.filter(({ id }) => turns.has(keyOf(week, id)));
    const at = order.indexOf(week);
    const broken: Limit[] = [];
    if (cooks.length < team) broken.push({ kind: 'least', week, cooks: cooks.length });
    if (cooks.length > team) broken.push({ kind: 'most', week, cooks: cooks.length });
    for (const dish of dishes)
      if (!cooks.some(({ skills }) => skills.has(dish))) broken.push({ kind: 'skill', week, dish });
    if (cooks.reduce((ml, cook) => ml + cook.potMl, 0) < potMl) broken.push({ kind: 'pots', week });
    for (const { id, away, minGap } of cooks) {
      if (away.has(week)) broken.push({ kind: 'away', week, household: id });
      const before = order.slice(Math.max(0, at - minGap), at);
      if (before.some((other) => turns.has(keyOf(other, id)))) broken.push({ kind: 'gap', week, household: id });
    }
    for (const turn of kept) {
      if (turn.week === week && !turns.has(keyOf(week, turn.household)))
        broken.push({ kind: 'kept', week, household: turn.household });
    }
    return broken;
  });
}

/** Whether a limit is one of the input's. */
function isAsked(input: RotaInput, limit: Limit): boolean {
  const week = input.weeks.find(({ id }) => id === limit.week);
  if (!week) return false;
  const household = input.households.find(({ id }) => 'household' in limit && id === limit.household);
  switch (limit.kind) {
    case 'least':
      return limit.cooks > 0 && limit.cooks <= week.team;
    case 'most':
      return limit.cooks >= week.team;
    case 'skill':
      return week.dishes.includes(limit.dish);
    case 'pots':
      return week.potMl > 0;
    case 'away':
      return household?.away.has(week.id) ?? false;
    case 'gap':
      return (household?.minGap ?? 0) > 0;
    case 'kept':
      return input.kept.some((turn) => turn.week === week.id && turn.household === household?.id);
  }
}

type Report = (code: RotaViolation['code'], where?: Omit<RotaViolation, 'code'>) => void;

function checkLoads(input: RotaInput, { turns, load }: RotaOutput, report: Report): Map<string, Rational> {
  const all = sum(input.households.map(({ weight }) => weight));
  const deviations = new Map<string, Rational>();
  for (const { id, weight, owedTurns } of input.households) {
    const part = isZero(all) ? zero : div(mul(rational(BigInt(turns.length)), weight), all);
    const target = add(part, owedTurns);
    const given = turns.filter(({ household }) => household === id).length;
    const said = Object.hasOwn(load, id) ? load[id] : undefined;
    if (said?.target !== format(target)) report('target-wrong', { household: id });
    if (said?.given !== given) report('given-wrong', { household: id });
    const owed = sub(target, rational(BigInt(given)));
    const after = tryParse(said?.owedAfter ?? '');
    // Long fractions are kept in millionths of a millionth.
    const isSnapped = after && 10n ** 12n % after.d === 0n && cmp(abs(sub(after, owed)), rational(1n, 10n ** 12n)) < 0;
    if (said?.owedAfter !== format(owed) && !isSnapped) report('owed-wrong', { household: id });
    deviations.set(id, owed);
  }
  for (const id of Object.keys(load)) if (!deviations.has(id)) report('unknown-household', { household: id });
  return deviations;
}

/** What is called optimal must not get nearer by giving one turn to somebody else. */
function checkNearest(
  input: RotaInput,
  turns: ReadonlySet<string>,
  owed: ReadonlyMap<string, Rational>,
  report: Report,
): void {
  const broken = brokenLimits(input, turns).length;
  const isOwedMore = (a: RotaHousehold, b: RotaHousehold): boolean =>
    cmp(sub(owed.get(a.id) ?? zero, owed.get(b.id) ?? zero), one) > 0;
  for (const { id: week } of input.weeks) {
    const cooks = input.households.filter(({ id }) => turns.has(keyOf(week, id)));
    for (const cook of cooks) {
      for (const other of input.households) {
        if (cooks.includes(other) || !isOwedMore(other, cook)) continue;
        const changed = new Set(turns);
        changed.delete(keyOf(week, cook.id));
        changed.add(keyOf(week, other.id));
        const after = brokenLimits(input, changed);
        if (after.length > broken) continue;
        const before = new Set(brokenLimits(input, turns).map(canonicalJson));
        if (after.every((limit) => before.has(canonicalJson(limit))))
          report('could-be-nearer', { week, household: other.id });
      }
    }
  }
}

function checkConflict(input: RotaInput, { conflict = [], relax = [], proof }: RotaOutput, report: Report): void {
  if (conflict.length === 0) {
    // A search that ended without a proof need not have found a reason.
    if (relax.length > 0 && proof !== 'constructive') report('conflict-missing');
    return;
  }
  for (const limit of conflict) if (!isAsked(input, limit)) report('conflict-unknown', { limit });
  if (canBeKept(input, conflict) === true) report('conflict-possible');
  for (const limit of conflict) {
    const others = conflict.filter((other) => other !== limit);
    if (canBeKept(input, others) === false) report('conflict-reducible', { limit });
  }
}

/** What is said of the proof: one of its words, and a bound with `bounded` only, which the turns do not beat. */
function checkProof(
  { proof, atLeast, common, load }: RotaOutput,
  owed: ReadonlyMap<string, Rational>,
  report: Report,
): void {
  if (!['optimal', 'bounded', 'constructive'].includes(proof)) report('proof-unknown');
  const squares = sum([...owed.values()].map((value) => mul(value, value)));
  const bound = atLeast === undefined ? undefined : claimedNumber(atLeast);
  if ((proof === 'bounded') !== (bound !== undefined) || (bound && cmp(bound, squares) > 0)) report('bound-wrong');
  const kept = sum([...owed.keys()].map((id) => claimedNumber(load[id]?.owedAfter) ?? zero));
  const left = common === undefined ? zero : (claimedNumber(common) ?? one);
  if (cmp(sub(sum(owed.values()), kept), left) !== 0) report('common-wrong');
}

/**
 * Checks a rota from its input and output alone; it shares no code with planRota but the reading of the input and the arithmetic of fractions.
 * Checks: every limit is kept except those in `relax`, and those are not; targets, turns and what is owed are what they are defined to be; an `optimal` rota
 * does not get nearer by any one turn passed on; a conflict is made of limits of the input, cannot be kept, and without any one of its limits can (as far
 * as that can be tried). Gives every violation. Throws `invalid-input` when the input cannot be read.
 */
export function verifyRota(given: unknown, output: RotaOutput): RotaViolation[] {
  const input = readRota(given);
  const violations: RotaViolation[] = [];
  const report: Report = (code, where = {}) => void violations.push({ code, ...where });
  const turns = new Set<string>();
  for (const { week, household } of output.turns) {
    if (!input.weeks.some(({ id }) => id === week)) report('unknown-week', { week });
    if (!input.households.some(({ id }) => id === household)) report('unknown-household', { household });
    if (turns.has(keyOf(week, household))) report('turn-twice', { week, household });
    turns.add(keyOf(week, household));
  }
  const broken = new Map(brokenLimits(input, turns).map((limit) => [canonicalJson(limit), limit]));
  const relaxed = new Map((output.relax ?? []).map((limit) => [canonicalJson(limit), limit]));
  if (relaxed.size !== (output.relax ?? []).length) report('limit-twice');
  for (const [key, limit] of broken) if (!relaxed.has(key)) report('limit-broken', { limit });
  for (const [key, limit] of relaxed) if (!broken.has(key)) report('limit-kept', { limit });
  const owed = checkLoads(input, output, report);
  if (output.proof === 'optimal') checkNearest(input, turns, owed, report);
  checkConflict(input, output, report);
  checkProof(output, owed, report);
  return violations;
}
