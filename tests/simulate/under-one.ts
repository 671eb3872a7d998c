import type { IntegerModel, Rational, Solver } from '@frostmoot/calc';
import { ModelBuilder, rational, SolverError } from '@frostmoot/calc';
import type { Round } from './setting.ts';
import type { Year } from './year.ts';

const { add, ceil, cmp, floor, one, sub, zero } = rational;

/** The divisions of a round in which everybody who takes part ends less than one portion away from its target, as an integer program without an aim. */
function withinOne({ members, lots }: Round, target: ReadonlyMap<string, Rational>): IntegerModel {
  const model = new ModelBuilder();
  const name = (h: number, l: number): string => `x${h}_${l}`;
  members.forEach((member, h) => {
    const mine = lots.flatMap(({ dish, containers, portions }, l) =>
      member.excludes.includes(dish) ? [] : [[model.whole(name(h, l), 0, containers), portions] as const],
    );
    const due = target.get(member.id) ?? zero;
    // Portions are whole, so that less than one away is from the next whole number above target - 1 to the last below target + 1.
    const least = Math.max(0, Number(floor(sub(due, one))) + 1);
    model.between(`portions ${h}`, mine, least, Number(ceil(add(due, one))) - 1);
  });
  lots.forEach(({ id, dish, containers }, l) => {
    const eaters = members.flatMap(({ excludes }, h) => (excludes.includes(dish) ? [] : [[name(h, l), 1] as const]));
    if (eaters.length > 0) model.equals(id, eaters, containers);
  });
  return model.build();
}

/** Rounds of a year by our method in which somebody ends a portion or more from its target. */
export interface OverOne {
  rounds: number;
  /** of those, how many no division of that round could have avoided from where it stood, as the solver proved */
  unavoidable: number;
}

export async function overOne(year: readonly Round[], { byRound, targets }: Year, solver: Solver): Promise<OverOne> {
  const over: OverOne = { rounds: 0, unavoidable: 0 };
  for (const [i, round] of year.entries()) {
    // Who is away keeps what it is owed, and no division of the round can change that.
    const target = targets[i] ?? new Map<string, Rational>();
    if (cmp(byRound[i] ?? zero, one) < 0) continue;
    over.rounds += 1;
    const isHopeless = [...target.values()].some((value) => cmp(value, sub(zero, one)) <= 0);
    if (isHopeless || (await isImpossible(withinOne(round, target), solver))) over.unavoidable += 1;
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
