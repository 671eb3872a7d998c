import { byCodeUnits } from '../canonical.ts';
import type { Rational } from '../rational.ts';
import { div, isZero, mul, rational, sub, sum, zero } from '../rational.ts';
import { allLimits } from './limits.ts';
import type { RotaInput } from './rota-input.ts';
import { rotaProblem } from './rota-problem.ts';
import { RotaSearch } from './rota-search.ts';
import type { Rota } from './rota.ts';
import { mostTurns } from './window-room.ts';

/** Why a household has the turns that it has, as the numbers of one sum; the screens make the sentence. */
export interface RotaExplanation {
  household: string;
  weight: Rational;
  totalWeight: Rational;
  /** turns of everybody together */
  totalTurns: number;
  /** totalTurns x weight / totalWeight */
  weightShare: Rational;
  owedBefore: Rational;
  /** weightShare + owedBefore */
  target: Rational;
  given: number;
  /** target - given */
  owedAfter: Rational;
  weeks: string[];
  /** weeks of this rota in which it is away, and the most turns that its absences and its gap leave room for */
  awayWeeks: number;
  mostTurns: number;
  /** turns that it has only because it makes a dish which nobody else of that week's team can make */
  turnsForSkill: { week: string; dish: string }[];
}

/**
 * One explanation for each household of a rota, sorted by id. Method: sums and counts of the input and the result only. `result`: of planRota; `input`: what
 * it was made from. Gives numbers and ids, no words.
 */
export function explainRota(result: Rota, input: RotaInput): RotaExplanation[] {
  const totalWeight = sum(input.households.map(({ weight }) => weight));
  const totalTurns = result.turns.length;
  const problem = rotaProblem(input);
  const search = new RotaSearch(problem, { ...allLimits(problem), kept: new Uint8Array(problem.kept.length) }, 0, -1);
  problem.away.forEach((away, pair) => {
    if (away) search.state[pair] = 0;
  });
  const explained = problem.households.map((household, h): RotaExplanation => {
    const { id, weight, owedTurns, away, skills } = household;
    const mine = result.turns.filter((turn) => turn.household === id).map(({ week }) => week);
    const target = result.load.get(id)?.target ?? zero;
    const others = (week: string): string[] =>
      result.turns.filter((turn) => turn.week === week && turn.household !== id).map((turn) => turn.household);
    const canMake = (other: string, dish: string): boolean =>
      input.households.some((each) => each.id === other && each.skills.has(dish));
    return {
      household: id,
      weight,
      totalWeight,
      totalTurns,
      weightShare: isZero(totalWeight) ? zero : div(mul(rational(BigInt(totalTurns)), weight), totalWeight),
      owedBefore: owedTurns,
      target,
      given: mine.length,
      owedAfter: sub(target, rational(BigInt(mine.length))),
      weeks: mine,
      awayWeeks: input.weeks.filter((week) => away.has(week.id)).length,
      mostTurns: mostTurns(search, h, 0, problem.weeks.length - 1),
      turnsForSkill: mine.flatMap((week) =>
        (input.weeks.find((each) => each.id === week)?.dishes ?? [])
          .filter((dish) => skills.has(dish) && !others(week).some((other) => canMake(other, dish)))
          .map((dish) => ({ week, dish })),
      ),
    };
  });
  return explained.sort((a, b) => byCodeUnits(a.household, b.household));
}
