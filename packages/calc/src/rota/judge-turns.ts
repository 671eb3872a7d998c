import { canonicalJson } from '../canonical.ts';
import { invalidInput } from '../input.ts';
import type { Rational } from '../rational.ts';
import { rational, sub, zero } from '../rational.ts';
import { brokenBy } from './broken-limits.ts';
import type { Limit } from './limits.ts';
import { allLimits, inOrder, limitOf } from './limits.ts';
import { targetsOf } from './loads.ts';
import { loadsOf } from './nearest-turns.ts';
import type { RotaInput, Turn } from './rota-input.ts';
import type { RotaProblem } from './rota-problem.ts';
import { rotaProblem } from './rota-problem.ts';

/** What given turns do not keep, and what they leave each household: for turns that were set by hand. */
export interface JudgedTurns {
  broken: Limit[];
  load: Map<string, { target: Rational; given: number; owedAfter: Rational }>;
}

function gridOf({ weeks, households }: RotaProblem, turns: readonly Turn[]): Uint8Array {
  const weekNumbers = new Map(weeks.map(({ id }, index) => [id, index]));
  const householdNumbers = new Map(households.map(({ id }, index) => [id, index]));
  const on = new Uint8Array(weeks.length * households.length);
  const faults = turns.flatMap(({ week, household }, index) => {
    const [w, h] = [weekNumbers.get(week), householdNumbers.get(household)];
    if (w === undefined) return [{ pointer: `#/turns/${index}/week`, detail: 'There is no such week.' }];
    if (h === undefined) return [{ pointer: `#/turns/${index}/household`, detail: 'There is no such household.' }];
    const pair = h * weeks.length + w;
    if (on[pair]) return [{ pointer: `#/turns/${index}/household`, detail: 'This turn is given twice.' }];
    on[pair] = 1;
    return [];
  });
  if (faults.length > 0) throw invalidInput(faults);
  return on;
}

/**
 * The limits that some turns do not keep, and every household's load with them. Method: the definitions of the limits (Limit) and of the target, nothing is
 * searched for. `input`: what the turns are held against; `turns`: by week and household. A team that is too small or too large is named once, with the
 * number that cooks. Throws `invalid-input` for turns of no week, of nobody or given twice.
 */
export function judgeTurns(input: RotaInput, turns: readonly Turn[]): JudgedTurns {
  const problem = rotaProblem(input);
  const on = gridOf(problem, turns);
  const cooksIn = (week: number): number =>
    problem.households.filter((_, h) => on[h * problem.weeks.length + week]).length;
  const named = brokenBy(problem, allLimits(problem), on).map((item) =>
    limitOf(problem, { ...item, cooks: cooksIn(item.week) }),
  );
  const targets = targetsOf(problem, turns.length);
  const loads = loadsOf(problem, on);
  return {
    broken: inOrder([...new Map(named.map((limit) => [canonicalJson(limit), limit])).values()]),
    load: new Map(
      problem.households.map(({ id }, h) => {
        const [target, given] = [targets.exact[h] ?? zero, loads[h] ?? 0];
        return [id, { target, given, owedAfter: sub(target, rational(BigInt(given))) }];
      }),
    ),
  };
}

/** The limits that are broken with `after` and were kept with `before`: what a change of cooks would cost. As judgeTurns. */
export function newlyBroken(input: RotaInput, before: readonly Turn[], after: readonly Turn[]): Limit[] {
  const known = new Set(judgeTurns(input, before).broken.map(canonicalJson));
  return judgeTurns(input, after).broken.filter((limit) => !known.has(canonicalJson(limit)));
}
