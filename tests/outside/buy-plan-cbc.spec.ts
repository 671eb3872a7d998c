import { afterAll, describe, expect, it } from '@jest/globals';
import {
  buyPlan,
  buyPlanModel,
  buyPlanProved,
  buyProblem,
  readBuyPlan,
  rational,
  verifyBuyPlan,
} from '@frostmoot/calc';
import type { Solver } from '@frostmoot/calc';
import { SolverPool } from '@frostmoot/solver';
import { market } from '../builders/market.ts';
import { solveWithCbc } from './cbc.ts';

const { cmp, format, mul, parse, rational: fraction, sub } = rational;

/** What a plan comes to, in the scale of its integer program. */
const reachedBy = ({ total, stored = '0' }: { total: string; stored?: string }, scale: bigint): string =>
  format(mul(sub(parse(total), parse(stored)), fraction(scale)));

describe('buyPlan, against CBC on the plain integer program', () => {
  it.each([1, 2, 3, 4, 5, 6, 7, 8])('costs the same for 12 ingredients and 4 sellers, market %i', (seed) => {
    const input = market(seed, 12, 4, { freeFrom: 70, minimumOrder: 60 });
    const plan = buyPlan(input);
    expect([plan.proof, verifyBuyPlan(input, plan)]).toEqual(['optimal', []]);
    const problem = buyProblem(readBuyPlan(input));
    const { optimum } = solveWithCbc(buyPlanModel(problem));
    expect(String(optimum)).toBe(reachedBy(plan, problem.scale));
  });

  it('costs the same for 40 ingredients and 6 sellers', () => {
    const input = market(11, 40, 6, { freeFrom: 40, minimumOrder: 30 });
    const plan = buyPlan(input);
    const problem = buyProblem(readBuyPlan(input));
    expect(plan.proof).toBe('optimal');
    expect(String(solveWithCbc(buyPlanModel(problem)).optimum)).toBe(reachedBy(plan, problem.scale));
  });
});

describe('buyPlanProved', () => {
  const pool = new SolverPool();
  afterAll(() => pool.close());

  it('gives what the search gives where that is proved', async () => {
    const input = market(3, 12, 4, { freeFrom: 70, minimumOrder: 60 });
    const never: Solver = { solve: () => Promise.reject(new Error('It was asked.')) };
    expect(await buyPlanProved(input, never, { milliseconds: 1000 })).toEqual(buyPlan(input));
  });

  it('never gives a dearer plan or a lower bound than the search by itself', async () => {
    const input = market(9, 40, 5, { freeFrom: 100, minimumOrder: 0 });
    const alone = buyPlan(input);
    const proved = await buyPlanProved(input, pool, { milliseconds: 5000 });
    expect(verifyBuyPlan(input, proved)).toEqual([]);
    const net = (plan: typeof alone) => sub(parse(plan.total), parse(plan.stored ?? '0'));
    expect(cmp(net(proved), net(alone))).toBeLessThanOrEqual(0);
  });

  it('solves the integer program itself to the same cost', async () => {
    const input = market(5, 8, 3, { freeFrom: 100, minimumOrder: 100 });
    const problem = buyProblem(readBuyPlan(input));
    const result = await pool.solve(buyPlanModel(problem), { milliseconds: 30_000 });
    if (result.status === 'infeasible') throw new Error('There is a plan.');
    expect(String(result.stages[0]?.value)).toBe(reachedBy(buyPlan(input), problem.scale));
  });
});
