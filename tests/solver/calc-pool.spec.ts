import { afterAll, describe, expect, it } from '@jest/globals';
import {
  canonicalJson,
  DomainError,
  planRound,
  readShareOut,
  runSheet,
  shareOut,
  shareOutProved,
  SolverError,
  writePlanRound,
  writeShareOut,
} from '@frostmoot/calc';
import type { Solver } from '@frostmoot/calc';
import { CalcPool, SolverPool } from '@frostmoot/solver';
import { plannedRound } from '../builders/planned-round.ts';
import { shareOutInstance } from '../builders/share-out-instance.ts';
import { goldenCases } from '../calc/golden-cases.ts';

const soon = { milliseconds: 30_000 };
const worked = goldenCases.find(({ command }) => command === 'run-sheet')?.input;

const codeOf = async (work: Promise<unknown>): Promise<string> => {
  try {
    await work;
    return 'none';
  } catch (error) {
    return error instanceof DomainError ? error.code : `no refusal: ${String(error)}`;
  }
};

describe('the pool for calculations', () => {
  const pool = new CalcPool({ threads: 1, waiting: 2 });
  afterAll(() => pool.close());

  it('gives what the calculation gives', async () => {
    expect(canonicalJson(await pool.run('run-sheet', worked, soon))).toBe(canonicalJson(runSheet(worked)));
  });

  it('hands over a refusal with its code, its pointers and its values', async () => {
    const input = { people: 0, steps: [], surely: 1 };
    const here = ((): unknown => {
      try {
        return runSheet(input);
      } catch (error) {
        return error;
      }
    })() as DomainError;
    const there = await pool.run('run-sheet', input, soon).catch((error: unknown) => error as DomainError);
    expect(there).toBeInstanceOf(DomainError);
    expect(there).toMatchObject({ code: here.code, message: here.message, errors: here.errors });
    expect(here.errors.length).toBeGreaterThan(0);
  });

  it('keeps so many in line and refuses the others', async () => {
    const works = Array.from({ length: 5 }, () => codeOf(pool.run('run-sheet', worked, soon)));
    expect((await Promise.all(works)).filter((code) => code === 'unavailable').length).toBe(2);
  });
});

describe('a proof in a thread', () => {
  const pool = new CalcPool({ threads: 1 });
  const solver = new SolverPool({ threads: 1 });
  afterAll(async () => {
    await Promise.all([pool.close(), solver.close()]);
  });
  const input = shareOutInstance(1, 20, 7);
  /** Freezers that cannot take everything: how little is left over, nothing shows without the solver. */
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
  const limits = { ...soon, proofMilliseconds: 30_000 };

  it('gives what it gives here, from the solver of whoever asks, and first what is found without one', async () => {
    const news: string[] = [];
    const proved = await pool.prove('share-out', input, {
      ...{ ...limits, solver },
      onFirst: (first) => news.push(canonicalJson(first)),
      onStage: (stage) => news.push(stage),
    });
    const here = await shareOutProved(readShareOut(input), solver, { milliseconds: 30_000 });
    expect(canonicalJson(proved)).toBe(canonicalJson(writeShareOut(here)));
    expect(news[0]).toBe(canonicalJson(shareOut(input)));
    expect(news.slice(1)).toContain('outsideFairShare');
  });

  it('that is stopped gives the best so far, and so does one that nothing is asked for', async () => {
    const control = new AbortController();
    const waiting: Solver = {
      solve: (_, { cancel }) =>
        new Promise((_resolve, reject) => {
          cancel?.addEventListener('abort', () => reject(new SolverError('solver-cancelled', 'Enough.')));
          control.abort();
        }),
    };
    const stopped = await pool.prove('share-out', tight, { ...limits, solver: waiting, stop: control.signal });
    expect(canonicalJson(stopped)).toBe(canonicalJson(shareOut(tight)));
    const unasked: Solver = { solve: () => Promise.reject(new Error('It was asked.')) };
    const first = await pool.prove('share-out', tight, { ...limits, proofMilliseconds: 0, solver: unasked });
    expect(canonicalJson(first)).toBe(canonicalJson(shareOut(tight)));
  });

  it.each([
    ['nobody wants to know any more', { ...limits, milliseconds: 30_000 }, true, 'interrupted'],
    ['its thread has had its time', { ...limits, milliseconds: 2000 }, false, 'took-too-long'],
  ])('lets go of what is being solved when %s', async (_, given, isCancelled, code) => {
    const control = new AbortController();
    let isLetGo = false;
    const waiting: Solver = {
      solve: (__, { cancel }) =>
        new Promise((___, reject) => {
          cancel?.addEventListener('abort', () => {
            isLetGo = true;
            reject(new SolverError('solver-cancelled', 'Enough.'));
          });
          if (isCancelled) control.abort();
        }),
    };
    const work = pool.prove('share-out', tight, { ...given, solver: waiting, cancel: control.signal });
    expect(await codeOf(work)).toBe(code);
    expect(isLetGo).toBe(true);
  });

  it('is refused as the calculation refuses, and fails when the solver fails as none should', async () => {
    expect(await codeOf(pool.prove('rota', { weeks: 1 }, { ...limits, solver }))).toBe('invalid-input');
    const broken: Solver = { solve: () => Promise.reject(new TypeError('A mistake.')) };
    await expect(pool.prove('share-out', tight, { ...limits, solver: broken })).rejects.toThrow('A mistake.');
  });

  it('carries maps and bigints over', async () => {
    const given = plannedRound(1, 3, 2);
    const { plan } = await pool.prove('plan-round', given, { ...limits, solver });
    expect(canonicalJson(writePlanRound(plan))).toBe(canonicalJson(planRound(given)));
  });
});

describe('a thread that fails', () => {
  const failing = new CalcPool({
    threads: 1,
    memoryMegabytes: 64,
    worker: new URL('./failing-calc-worker.mjs', import.meta.url),
  });
  afterAll(() => failing.close());
  const run = (how: string, options = soon): Promise<unknown> => failing.run('run-sheet', { how }, options);

  it.each([
    ['ends by itself', 'exit', 30_000, 'interrupted'],
    ['fills its memory', 'memory', 30_000, 'interrupted'],
    ['throws what is no refusal', 'throw', 30_000, 'interrupted'],
    ['never answers', 'never', 300, 'took-too-long'],
  ])('fails what it works out when it %s, and is replaced', async (_, how, milliseconds, code) => {
    const works = [codeOf(run(how, { milliseconds })), run('well')];
    expect(await Promise.all(works)).toEqual([code, { how: 'well' }]);
  });

  it('is ended when nobody wants to know any more, and what waits for it is let go', async () => {
    const control = new AbortController();
    const works = [
      codeOf(failing.run('run-sheet', { how: 'never' }, { ...soon, cancel: control.signal })),
      codeOf(failing.run('run-sheet', { how: 'well' }, { ...soon, cancel: control.signal })),
      run('well'),
    ];
    control.abort();
    expect(await Promise.all(works)).toEqual(['interrupted', 'interrupted', { how: 'well' }]);
    expect(await codeOf(failing.run('run-sheet', {}, { ...soon, cancel: control.signal }))).toBe('interrupted');
  });

  it('is not asked once the pool is closed', async () => {
    const closed = new CalcPool({ threads: 1, worker: new URL('./failing-calc-worker.mjs', import.meta.url) });
    const works = [codeOf(closed.run('run-sheet', { how: 'never' }, soon)), codeOf(closed.run('run-sheet', {}, soon))];
    await closed.close();
    expect(await Promise.all(works)).toEqual(['interrupted', 'interrupted']);
    expect(await codeOf(closed.run('run-sheet', {}, soon))).toBe('interrupted');
  });
});
