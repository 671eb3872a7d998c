import {
  canonicalJson,
  rational,
  readShareOut,
  shareContainers,
  shareOut,
  shareOutProved,
  SolverError,
  solverErrorCodes,
  verifyShareOut,
  writeShareOut,
} from '@frostmoot/calc';
import type { ShareOutOutput, Solver, SolverProgress } from '@frostmoot/calc';
import { SolverPool } from '@frostmoot/solver';
import { afterAll, describe, expect, it } from '@jest/globals';
import { shareOutInstance } from '../builders/share-out-instance.ts';
import { compare, evaluator } from './objective.ts';

const { parse, sub } = rational;
const pool = new SolverPool({ threads: 1 });
afterAll(() => pool.close());

const soon = { milliseconds: 30_000 };
const prove = async (given: unknown): Promise<ShareOutOutput> =>
  writeShareOut(await shareOutProved(readShareOut(given), pool, soon));

/** Freezers that cannot take everything: how little is left over, no bound shows without the solver. */
const tight = {
  seed: 's',
  households: [
    { id: 'a', weight: '1', freezerMl: 1400 },
    { id: 'b', weight: '1', freezerMl: 1100 },
  ],
  lots: [
    { id: 'l', dish: 'stew', containers: 3, portions: 3, containerMl: 700 },
    { id: 'm', dish: 'pie', containers: 3, portions: 2, containerMl: 400 },
  ],
};

/** Instances that need every kind of search. */
const rounds = Array.from({ length: 12 }, (_, seed) =>
  shareOutInstance(seed, 3 + (seed % 7), 3 + (seed % 3), { scoring: 40 }),
);

describe('a proved share-out', () => {
  it.each(rounds.map((given) => [given.seed, given] as const))(
    'of %s is optimal, verified, and no worse than without a search',
    async (_, given) => {
      const output = await prove(given);
      expect(output.proof).toBe('optimal');
      expect(verifyShareOut(given, output)).toEqual([]);
      const input = readShareOut(given);
      const target = input.households.map(({ id }) => parse(output.target[id] ?? '0'));
      const evaluate = evaluator(input, target);
      const of = (result: ShareOutOutput) =>
        evaluate((h, l) => result.containers[input.households[h]?.id ?? '']?.[input.lots[l]?.id ?? ''] ?? 0).objective;
      expect(compare(of(output), of(shareOut(given)))).toBeLessThanOrEqual(0);
    },
  );

  it('has the same bytes for the same round in any order', async () => {
    for (const given of rounds) {
      const turned = {
        lots: [...given.lots].reverse(),
        households: given.households
          .map((household) => ({
            ...household,
            excludes: [...household.excludes].reverse(),
            refuses: [...household.refuses].reverse(),
          }))
          .reverse(),
        seed: given.seed,
      };
      expect(canonicalJson(await prove(turned))).toBe(canonicalJson(await prove(given)));
    }
  });

  it('tells how far it is, by stage of the objective', async () => {
    const told: SolverProgress[] = [];
    const given = readShareOut(shareOutInstance(1, 20, 7, { scoring: 30 }));
    await shareOutProved(given, pool, { ...soon, onProgress: (news) => told.push(news) });
    expect(told.length).toBeGreaterThan(0);
    for (const { stage } of told)
      expect(['unallotted', 'squaredDeviation', 'refused', 'outsideFairShare', 'score']).toContain(stage);
  });

  it.each(solverErrorCodes)('still stands, without its proof, when the solver fails with %s', async (code) => {
    const failing: Solver = { solve: () => Promise.reject(new SolverError(code, 'no')) };
    const work = shareOutProved(readShareOut(tight), failing, soon);
    if (code === 'solver-cancelled') {
      await expect(work).rejects.toThrow(SolverError);
      return;
    }
    const output = writeShareOut(await work);
    expect(output).toEqual(shareOut(tight));
    expect(output.proof).toBe('constructive');
    expect(verifyShareOut(tight, output)).toEqual([]);
  });

  it('needs no solver where bounds by prices show that wishes cannot be met better', async () => {
    const failing: Solver = { solve: () => Promise.reject(new SolverError('solver-crashed', 'no')) };
    const given = shareOutInstance(1, 20, 7, { scoring: 30 });
    const output = writeShareOut(await shareOutProved(readShareOut(given), failing, soon));
    expect(output.stages?.map(({ proof }) => proof)).toContain('searched');
    expect(output.proof).toBe('optimal');
    expect(verifyShareOut(given, output)).toEqual([]);
  });

  it("does not swallow a mistake that is not the solver's", async () => {
    const broken: Solver = { solve: () => Promise.reject(new TypeError('a mistake')) };
    await expect(shareOutProved(readShareOut(tight), broken, soon)).rejects.toThrow(TypeError);
  });

  it('says how far it came when there is no time, with bounds that hold', async () => {
    const given = shareOutInstance(1, 30, 10, { scoring: 30 });
    const hurried = writeShareOut(await shareOutProved(readShareOut(given), pool, { milliseconds: 60 }));
    const proved = await prove(given);
    expect(verifyShareOut(given, hurried)).toEqual([]);
    expect(['bounded', 'constructive', 'optimal']).toContain(hurried.proof);
    for (const { stage, proof, bound } of hurried.stages ?? []) {
      if (proof !== 'open' || bound === undefined) continue;
      const best = parse(String(proved.objective[stage]));
      const difference = sub(best, parse(bound));
      expect(stage === 'score' ? difference.n <= 0n : difference.n >= 0n).toBe(true);
    }
  });

  it('stops when it is cancelled', async () => {
    const control = new AbortController();
    const work = shareOutProved(readShareOut(shareOutInstance(3, 60, 20, { scoring: 50 })), pool, {
      ...soon,
      cancel: control.signal,
    });
    control.abort();
    await expect(work).rejects.toMatchObject({ code: 'solver-cancelled' });
  });
});

describe('a share-out with freezer limits', () => {
  const lot = (id: string, dish: string, containers: number, portions: number, containerMl: number) => ({
    id,
    dish,
    containers,
    portions,
    containerMl,
  });
  const home = (id: string, weight: string, freezerMl?: number) => ({
    id,
    weight,
    ...(freezerMl === undefined ? {} : { freezerMl }),
  });

  it('entitles nobody to more than the freezer stores, and the others to the rest by weight', async () => {
    // 60 portions for weights 1, 2 and 3; the second has room for four containers of three portions.
    const given = {
      seed: 's',
      households: [home('a', '1'), home('b', '2', 2800), home('c', '3')],
      lots: [lot('l', 'stew', 20, 3, 700)],
    };
    const output = await prove(given);
    expect(output.entitlement).toEqual({ a: '12', b: '12', c: '36' });
    expect(output.short).toEqual({ b: '8' });
    expect(output.received).toEqual({ a: '12', b: '12', c: '36' });
    expect(output.owedAfter).toEqual({ a: '0', b: '0', c: '0' });
    expect(output.proof).toBe('optimal');
    expect(verifyShareOut(given, output)).toEqual([]);
  });

  it('reckons with the containers that really fit, not with averages', async () => {
    // A litre and a half: the best filling is one large container of 4 portions and one small of 1, though the average density says more.
    const given = {
      seed: 's',
      households: [home('a', '1', 1500), home('b', '1')],
      lots: [lot('l', 'stew', 6, 4, 1000), lot('m', 'pie', 6, 1, 400)],
    };
    const output = await prove(given);
    expect(output.entitlement).toEqual({ a: '5', b: '25' });
    expect(verifyShareOut(given, output)).toEqual([]);
  });

  it('leaves as few containers as possible where freezers are full', async () => {
    const output = await prove(tight);
    // 1400 = 2 x 700 or 700 + 400, or 3 x 400; 1100 = 700 + 400 or 2 x 400: four containers are the most, by 3 x 400 + 700 or more.
    expect(Object.values(output.unallotted).reduce((a, b) => a + b, 0)).toBe(2);
    expect(output.proof).toBe('optimal');
    expect(verifyShareOut(tight, output)).toEqual([]);
  });
});

describe('traps', () => {
  it.each<[string, object]>([
    [
      'weights of nil only',
      {
        households: [
          { id: 'a', weight: '0' },
          { id: 'b', weight: '0' },
        ],
        lots: [
          { id: 'l', dish: 'd', containers: 3, portions: 2 },
          { id: 'm', dish: 'e', containers: 2, portions: 3 },
        ],
      },
    ],
    [
      'one household',
      {
        households: [{ id: 'a', weight: '2', owed: '-1/7' }],
        lots: [
          { id: 'l', dish: 'd', containers: 3, portions: 2 },
          { id: 'm', dish: 'e', containers: 2, portions: 3 },
        ],
      },
    ],
    [
      'no lots',
      {
        households: [
          { id: 'a', weight: '2' },
          { id: 'b', weight: '1', owed: '3' },
        ],
        lots: [],
      },
    ],
    ['nobody', { households: [], lots: [{ id: 'l', dish: 'd', containers: 3, portions: 2 }] }],
    [
      'everyone excluded',
      {
        households: ['a', 'b'].map((id) => ({ id, weight: '1', excludes: ['d'] })),
        lots: [{ id: 'l', dish: 'd', containers: 3, portions: 2 }],
      },
    ],
    [
      'a dish nobody may eat',
      {
        households: ['a', 'b'].map((id) => ({ id, weight: '1', excludes: ['d'] })),
        lots: [
          { id: 'l', dish: 'd', containers: 3, portions: 2 },
          { id: 'm', dish: 'e', containers: 3, portions: 2 },
          { id: 'n', dish: 'f', containers: 2, portions: 3 },
        ],
      },
    ],
    [
      'debts of a long past',
      {
        households: [
          { id: 'a', weight: '1', owed: '-500' },
          { id: 'b', weight: '1', owed: '500' },
        ],
        lots: [
          { id: 'l', dish: 'd', containers: 5, portions: 2 },
          { id: 'm', dish: 'e', containers: 4, portions: 3 },
        ],
      },
    ],
    [
      'fractions of twenty digits',
      {
        households: [
          { id: 'a', weight: '1', owed: '12345678901234567891/98765432109876543211' },
          { id: 'b', weight: '99999999977/99999999947' },
          { id: 'c', weight: '3' },
        ],
        lots: [
          { id: 'l', dish: 'd', containers: 5, portions: 4 },
          { id: 'm', dish: 'e', containers: 4, portions: 3 },
        ],
      },
    ],
    [
      'what counts nothing',
      {
        households: [
          { id: 'a', weight: '1' },
          { id: 'b', weight: '2' },
        ],
        lots: [
          { id: 'l', dish: 'd', containers: 5, portions: 4, counts: '0' },
          { id: 'm', dish: 'e', containers: 4, portions: 3 },
        ],
      },
    ],
  ])('are no trouble: %s', async (_, rest) => {
    const given = { seed: 's', ...rest };
    const output = await prove(given);
    expect(output.proof).toBe('optimal');
    expect(verifyShareOut(given, output)).toEqual([]);
  });

  it('keeps carried fractions small over a thousand rounds of changing weights and members', () => {
    let owed: Record<string, string> = {};
    for (let round = 1; round <= 1000; round++) {
      const households = ['a', 'b', 'c', 'd']
        .filter((_, i) => (round + i) % 7 !== 0)
        .map((id, i) => ({
          id,
          weight: `${1 + ((round * (i + 3)) % 97)}/${1 + (round % 89)}`,
          owed: owed[id] ?? '0',
        }));
      const lots = [
        { id: 'l', dish: 'stew', containers: 7, portions: 3 },
        { id: 'm', dish: 'pie', containers: 5, portions: 2 },
      ];
      const result = shareContainers(readShareOut({ seed: `${round}`, households, lots }));
      owed = { ...owed, ...writeShareOut(result).owedAfter };
    }
    for (const value of Object.values(owed)) expect(value.length).toBeLessThan(60);
  });
});
