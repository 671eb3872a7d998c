import { SolverPool } from '@frostmoot/solver';
import { afterAll, describe, expect, it } from '@jest/globals';
import { methods } from './methods.ts';
import type { Round } from './setting.ts';
import type { OverOne } from './under-one.ts';
import { overOne } from './under-one.ts';
import { dueOf, simulate } from './year.ts';

const pool = new SolverPool({ threads: 1 });
afterAll(() => pool.close());

const pair = ['elm', 'oak'].map((id) => ({ id, weight: '1', excludes: [] }));
const alone = pair.slice(0, 1);
/** A round of one dish: so many containers of so many portions. */
const round = (containers: number, portions: number, members = pair): Round => ({
  members,
  lots: [{ id: 'stew', dish: 'stew', containers, portions }],
});
const found = (year: readonly Round[]): Promise<OverOne> => {
  const due = dueOf(year);
  return overOne(year, due, simulate(year, due, methods.ours), pool);
};

describe('rounds over one portion', () => {
  it.each([
    // Worked out by hand: of one container of four, two are due to each.
    ['are unavoidable, and so for every method, where one container is too large', [round(1, 4)], [1, 1, 1]],
    ['are none where containers can be divided', [round(2, 2), round(4, 1)], [0, 0, 0]],
    // After the first, one is owed two portions and the other has two too many. Elm alone gets the second whole, and oak stays where it is.
    ['stay unavoidable while whoever is off is away', [round(1, 4), round(1, 1, alone)], [2, 2, 1]],
    // Three portions, one and a half to each: half of one off. Then three more, and both have three.
    ['are none where what is owed is made good', [round(3, 1), round(3, 1)], [0, 0, 0]],
  ])('%s', async (_, year, [rounds, unavoidable, impossible]) => {
    expect(await found(year)).toEqual({ rounds, unavoidable, impossible });
  });
});
