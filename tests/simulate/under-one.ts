import type { IntegerModel, Rational, Solver } from '@frostmoot/calc';
import { ModelBuilder, rational, SolverError } from '@frostmoot/calc';
import type { Round } from './setting.ts';
import type { Year } from './year.ts';

const { add, ceil, cmp, floor, one, sub, zero } = rational;

/** The least and the greatest whole number of portions less than one away from this, and not below nil. */
function wholeNear(due: Rational): readonly [least: number, most: number] {
  return [Math.max(0, Number(floor(sub(due, one))) + 1), Number(ceil(add(due, one))) - 1];
}

type Terms = (readonly [name: string, factor: number])[];

/** Writes that every container of the round goes to somebody who takes part and may eat it; gives the portions of each household. */
function divide(model: ModelBuilder, { members, lots }: Round): Map<string, Terms> {
  const portions = new Map<string, Terms>(members.map(({ id }) => [id, []]));
  for (const { id, dish, containers, portions: each } of lots) {
    const eaters = members.flatMap(({ id: member, excludes }) => (excludes.includes(dish) ? [] : [member]));
    if (eaters.length === 0) continue;
    const name = (member: string): string => `${id} for ${member}`;
    for (const member of eaters) portions.get(member)?.push([model.whole(name(member), 0, containers), each]);
    model.equals(
      id,
      eaters.map((member) => [name(member), 1] as const),
      containers,
    );
  }
  return portions;
}

/** The divisions of a round in which everybody who takes part ends less than one portion away from its target, as an integer program without an aim. */
function withinOne(round: Round, target: ReadonlyMap<string, Rational>): IntegerModel {
  const model = new ModelBuilder();
  for (const [id, portions] of divide(model, round))
    model.between(`portions of ${id}`, portions, ...wholeNear(target.get(id) ?? zero));
  return model.build();
}

/**
 * As withinOne, from every way to stand before the round in which everybody is less than one portion away from what was due to it so far, and all had in all
 * what was made. Without a solution no method, whatever it did in the rounds before, keeps everybody below one in both rounds.
 */
function withinOneFromAnywhere(
  round: Round,
  dueBefore: ReadonlyMap<string, Rational>,
  due: ReadonlyMap<string, Rational>,
): IntegerModel {
  const model = new ModelBuilder();
  const all = new Set([...dueBefore.keys(), ...due.keys()]);
  const before = new Map(
    [...all].map((id) => [id, model.whole(`before of ${id}`, ...wholeNear(dueBefore.get(id) ?? zero))] as const),
  );
  const made = [...dueBefore.values()].reduce(add, zero);
  model.equals(
    'made before',
    [...before.values()].map((name) => [name, 1] as const),
    Number(made.n / made.d),
  );
  const portions = divide(model, round);
  for (const [id, name] of before) {
    const dueSoFar = add(dueBefore.get(id) ?? zero, due.get(id) ?? zero);
    model.between(`so far of ${id}`, [[name, 1], ...(portions.get(id) ?? [])], ...wholeNear(dueSoFar));
  }
  return model.build();
}

/** Rounds of a year by our method in which somebody ends a portion or more from its target. */
export interface OverOne {
  rounds: number;
  /** of those, how many no division of that round could have avoided from where it stood, as the solver proved */
  unavoidable: number;
  /** rounds of the year that no method could end with everybody below one, wherever below one it stood before, as the solver proved */
  impossible: number;
}

export async function overOne(
  year: readonly Round[],
  due: readonly ReadonlyMap<string, Rational>[],
  ours: Year,
  solver: Solver,
): Promise<OverOne> {
  const over: OverOne = { rounds: 0, unavoidable: 0, impossible: 0 };
  const dueSoFar = new Map<string, Rational>();
  for (const [i, round] of year.entries()) {
    const dueNow = due[i] ?? new Map<string, Rational>();
    if (await isImpossible(withinOneFromAnywhere(round, dueSoFar, dueNow), solver)) over.impossible += 1;
    for (const [id, value] of dueNow) dueSoFar.set(id, add(dueSoFar.get(id) ?? zero, value));
    if (cmp(ours.byRound[i] ?? zero, one) < 0) continue;
    over.rounds += 1;
    const target = ours.targets[i] ?? new Map<string, Rational>();
    // Who is away keeps what it is owed, and who was given too much cannot be given less than nothing.
    const isStuck = cmp(ours.awayByRound[i] ?? zero, one) >= 0;
    const isHopeless = [...target.values()].some((value) => cmp(value, sub(zero, one)) <= 0);
    if (isStuck || isHopeless || (await isImpossible(withinOne(round, target), solver))) over.unavoidable += 1;
  }
  return over;
}

/** Whether the solver proves in its time that there is no such division. */
async function isImpossible(model: IntegerModel, solver: Solver): Promise<boolean> {
  try {
    return (await solver.solve(model, { milliseconds: 20_000 })).status === 'infeasible';
  } catch (error) {
    if (error instanceof SolverError && error.code === 'solver-time') return false;
    throw error;
  }
}
