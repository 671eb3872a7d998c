import { afterAll, describe, expect, it } from '@jest/globals';
import { canonicalJson, DomainError, runSheet } from '@frostmoot/calc';
import { CalcPool } from '@frostmoot/solver';
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
