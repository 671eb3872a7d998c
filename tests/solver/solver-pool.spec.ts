import { ModelBuilder, SolverError } from '@frostmoot/calc';
import type { IntegerModel, Solver, SolverProgress } from '@frostmoot/calc';
import { lpText, SolverPool, withinTime } from '@frostmoot/solver';
import { afterAll, describe, expect, it } from '@jest/globals';
import { setTimeout as delay } from 'node:timers/promises';

const pool = new SolverPool({ threads: 1, idleMilliseconds: 1000 });
afterAll(() => pool.close());

const soon = { milliseconds: 20_000 };

async function codeOf(work: Promise<unknown>): Promise<string> {
  return work.then(
    () => 'none',
    (error: unknown) => (error instanceof SolverError ? error.code : String(error)),
  );
}

/** A knapsack with as much worth as possible, and among those as few things as possible. */
function knapsack(count: number, room: number, seed?: string): IntegerModel {
  const model = new ModelBuilder();
  const names = Array.from({ length: count }, (_, i) => model.decision(`thing ${i}`));
  model.atMost(
    'room',
    names.map((name, i) => [name, 10 + ((i * 37) % 23)]),
    room,
  );
  model.seek(
    'worth',
    'most',
    names.map((name, i) => [name, 20 + ((i * 53) % 29)]),
  );
  model.seek(
    'few',
    'least',
    names.map((name) => [name, 1]),
  );
  return model.build(seed === undefined ? undefined : { seed });
}

/** A market split: rows of large odd weights that some half of the things should meet exactly; no solver of this kind ends soon with it (Cornuejols and Dawande 1999). */
function marketSplit(rows: number, count: number): IntegerModel {
  const model = new ModelBuilder();
  const names = Array.from({ length: count }, (_, i) => model.decision(`thing ${i}`));
  const off: (readonly [string, number])[] = [];
  let state = 12_345;
  for (let r = 0; r < rows; r++) {
    const weights = names.map(() => {
      state = (state * 1_103_515_245 + 12_345) % 2_147_483_648;
      return state % 100;
    });
    const half = Math.floor(weights.reduce((a, b) => a + b) / 2);
    const [over, under] = [model.whole(`over ${r}`, 0, 10_000), model.whole(`under ${r}`, 0, 10_000)];
    model.equals(
      `row ${r}`,
      [...names.map((name, i) => [name, weights[i] ?? 0] as const), [over, -1], [under, 1]],
      half,
    );
    off.push([over, 1], [under, 1]);
  }
  model.seek('off', 'least', off);
  return model.build();
}

describe('the solver pool', () => {
  it('solves stage after stage, each keeping the optimum of those before', async () => {
    const result = await pool.solve(knapsack(12, 60), soon);
    if (result.status === 'infeasible') throw new Error('must be feasible');
    expect(result.status).toBe('optimal');
    // By trying all 4096 choices.
    let best = [0, 0];
    for (let bits = 0; bits < 4096; bits++) {
      const chosen = Array.from({ length: 12 }, (_, i) => i).filter((i) => (bits >> i) & 1);
      const room = chosen.reduce((sum, i) => sum + 10 + ((i * 37) % 23), 0);
      const worth = chosen.reduce((sum, i) => sum + 20 + ((i * 53) % 29), 0);
      const [most = 0, few = 0] = best;
      if (room <= 60 && (worth > most || (worth === most && chosen.length < few))) best = [worth, chosen.length];
    }
    expect(result.stages.map(({ value }) => value)).toEqual(best);
    expect(result.stages.every(({ proved, value, bound }) => proved && value === bound)).toBe(true);
  });

  it('gives the same values for the same model written in any order', async () => {
    const model = knapsack(25, 150);
    const turned: IntegerModel = {
      variables: [...model.variables].reverse(),
      rows: model.rows.map((row) => ({ ...row, terms: [...row.terms].reverse() })).reverse(),
      stages: model.stages.map((stage) => ({ ...stage, terms: [...stage.terms].reverse() })),
    };
    expect(await pool.solve(turned, soon)).toEqual(await pool.solve(model, soon));
  });

  it('draws among equally good solutions by the seed', async () => {
    const model = new ModelBuilder();
    const names = Array.from({ length: 6 }, (_, i) => model.decision(`house ${i}`));
    model.equals(
      'one',
      names.map((name) => [name, 1]),
      1,
    );
    const chosen = new Set<string>();
    for (let seed = 0; seed < 15; seed++) {
      const result = await pool.solve(model.build({ seed: `${seed}` }), soon);
      if (result.status === 'infeasible') throw new Error('must be feasible');
      chosen.add(names.find((name) => result.values.get(name) === 1) ?? '');
    }
    expect(chosen.size).toBeGreaterThan(3);
  });

  it('says that nothing satisfies the rows', async () => {
    const model = new ModelBuilder();
    const half = model.whole('half', 0, 10);
    model.equals('odd', [[half, 2]], 7);
    expect(await pool.solve(model.build(), soon)).toEqual({ status: 'infeasible' });
    const empty = new ModelBuilder();
    empty.atLeast('impossible', [], 1);
    expect(await pool.solve(empty.build(), soon)).toEqual({ status: 'infeasible' });
    expect(await pool.solve(new ModelBuilder().build(), soon)).toMatchObject({ status: 'optimal' });
  });

  it('is not content with a gap of a ten-thousandth, which is less than it looks', async () => {
    // 999,983 against 999,982: the relative gap that solvers allow unless told otherwise covers a hundred such steps.
    const model = new ModelBuilder();
    const names = Array.from({ length: 30 }, (_, i) => model.decision(`n${i}`));
    model.atMost(
      'room',
      names.map((name, i) => [name, 33_333 + i * 7]),
      500_000,
    );
    model.seek(
      'full',
      'most',
      names.map((name, i) => [name, 33_333 + i * 7]),
    );
    const result = await pool.solve(model.build(), soon);
    // Fifteen of the numbers are at least 15 x 33,333 + 7 x (0 + ... + 14) = 500,730, so fourteen: 14 x 33,333 + 7 x (16 + ... + 29).
    expect(result).toMatchObject({ status: 'optimal', stages: [{ value: 14 * 33_333 + 7 * 315 }] });
  });

  it('takes no residue of a large coefficient for whole', async () => {
    // With a factor of a million less one, a decision of a millionth would open the door for nearly nothing.
    const model = new ModelBuilder();
    const [open, through] = [model.decision('open'), model.whole('through', 0, 999_999)];
    model.atMost(
      'door',
      [
        [through, 1],
        [open, -999_999],
      ],
      0,
    );
    model.atLeast('somebody', [[through, 1]], 1);
    model.seek('closed', 'least', [[open, 1]]);
    const result = await pool.solve(model.build(), soon);
    if (result.status === 'infeasible') throw new Error('must be feasible');
    expect(result.values.get('open')).toBe(1);
  });

  it.each<[string, (model: ModelBuilder) => void, RegExp]>([
    ['a coefficient of a million', (model) => model.atMost('r', [['x', 1_000_000]], 5), /1000000/],
    ['a fraction', (model) => model.atMost('r', [['x', 0.5]], 5), /0\.5/],
    ['a bound beyond a thousand million', (model) => model.atMost('r', [['x', 1]], 1_000_000_000), /bound/],
    ['a variable that is not there', (model) => model.atMost('r', [['y', 1]], 5), /"y"/],
    ['a variable twice', (model) => void model.whole('x', 0, 1), /twice/],
    ['a row without a bound', (model) => model.between('r', [['x', 1]], NaN, NaN), /bound/],
    ['bounds that cross', (model) => void model.whole('z', 5, 4), /above/],
  ])('refuses %s', async (_, add, message) => {
    const model = new ModelBuilder();
    model.whole('x', 0, 10);
    add(model);
    const work = pool.solve(model.build(), soon);
    await expect(work).rejects.toThrow(message);
    expect(await codeOf(work)).toBe('solver-refused');
    expect(() => lpText(model.build())).toThrow(message);
  });

  it('gives what it has when the time ends, with a bound, and tells how far it is', async () => {
    const told: SolverProgress[] = [];
    const result = await pool.solve(marketSplit(6, 50), { milliseconds: 1500, onProgress: (news) => told.push(news) });
    if (result.status === 'infeasible') throw new Error('must be feasible');
    expect(result.status).toBe('bounded');
    const [stage] = result.stages;
    expect(stage).toMatchObject({ name: 'off', proved: false });
    expect(stage?.bound).toBeLessThan(stage?.value ?? 0);
    expect(told.length).toBeGreaterThan(0);
    expect(told[0]).toMatchObject({ stage: 'off', number: 1, of: 1 });
  });

  it('holds nobody up while it solves', async () => {
    const control = new AbortController();
    const work = codeOf(pool.solve(marketSplit(6, 50), { milliseconds: 60_000, cancel: control.signal }));
    // Ours to use while it goes on: it would end by itself only after all of these.
    for (let ticks = 0; ticks < 20; ticks += 1) await delay(20);
    control.abort();
    expect(await work).toBe('solver-cancelled');
  });

  it('stops when nobody wants to know any more, and solves the next', async () => {
    const control = new AbortController();
    const work = pool.solve(marketSplit(6, 50), { milliseconds: 60_000, cancel: control.signal });
    setTimeout(() => control.abort(), 300);
    expect(await codeOf(work)).toBe('solver-cancelled');
    expect(await codeOf(pool.solve(knapsack(5, 30), { ...soon, cancel: control.signal }))).toBe('solver-cancelled');
    expect(await pool.solve(knapsack(5, 30), soon)).toMatchObject({ status: 'optimal' });
  });

  it('begins with a solution that it is given, and passes over one that is none', async () => {
    const model = marketSplit(4, 40);
    const first = await pool.solve(model, { milliseconds: 3000 });
    if (first.status === 'infeasible') throw new Error('must be feasible');
    const again = await pool.solve(model, { milliseconds: 2000, start: first.values });
    if (again.status === 'infeasible') throw new Error('must be feasible');
    expect(again.stages[0]?.value).toBeLessThanOrEqual(first.stages[0]?.value ?? 0);
    const wrong = new Map([...first.values].map(([name]) => [name, 7]));
    expect(await pool.solve(knapsack(5, 30), { ...soon, start: wrong })).toMatchObject({ status: 'optimal' });
  });

  it('ends all that one computation asks within its time', async () => {
    const solver: Solver = withinTime(pool, 900);
    await solver.solve(marketSplit(6, 50), { milliseconds: 60_000 });
    expect(await codeOf(solver.solve(knapsack(5, 30), soon))).toBe('solver-time');
  });
});

describe('a worker that fails', () => {
  const model = (how: number): IntegerModel => {
    const builder = new ModelBuilder();
    const x = builder.whole('x', 0, 100);
    builder.atMost('how', [[x, 1]], how);
    builder.seek('x', 'least', [[x, 1]]);
    return builder.build();
  };
  const failing = new SolverPool({
    threads: 1,
    memoryMegabytes: 64,
    worker: new URL('./failing-worker.mjs', import.meta.url),
  });
  afterAll(() => failing.close());

  it.each<[string, number, string]>([
    ['ends by itself', 1, 'solver-crashed'],
    ['fills its memory', 2, 'solver-crashed'],
    ['throws', 3, 'solver-crashed'],
    ['never answers', 4, 'solver-time'],
    ['gives values that do not satisfy the rows', 6, 'solver-inexact'],
  ])('fails its job when it %s, and is replaced', async (_, how, code) => {
    expect(await codeOf(failing.solve(model(how), { milliseconds: how === 4 ? 300 : 30_000 }))).toBe(code);
    // The pool lives on: the next worker answers, if only wrongly, as it is made to.
    expect(await codeOf(failing.solve(model(6), soon))).toBe('solver-inexact');
  });

  it('is believed as far as it came before it was ended for the time', async () => {
    const result = await failing.solve(model(5), { milliseconds: 3000 });
    expect(result).toEqual({ status: 'bounded', values: new Map([['x', 1]]), stages: [] });
  });

  it('is not asked once the pool is closed', async () => {
    const closed = new SolverPool({ threads: 1 });
    const waiting = closed.solve(marketSplit(6, 50), { milliseconds: 60_000 });
    setTimeout(() => void closed.close(), 400);
    expect(await codeOf(waiting)).toBe('solver-cancelled');
    expect(await codeOf(closed.solve(knapsack(5, 30), soon))).toBe('solver-cancelled');
  });

  it('leaves those in line their turn', async () => {
    const works = [codeOf(failing.solve(model(1), soon)), codeOf(failing.solve(model(6), soon))];
    expect(await Promise.all(works)).toEqual(['solver-crashed', 'solver-inexact']);
    const control = new AbortController();
    const others = [
      codeOf(failing.solve(model(4), { milliseconds: 400 })),
      codeOf(failing.solve(model(6), { ...soon, cancel: control.signal })),
      codeOf(failing.solve(model(6), soon)),
    ];
    control.abort();
    expect(await Promise.all(others)).toEqual(['solver-time', 'solver-cancelled', 'solver-inexact']);
  });

  it('refuses at once what would wait too long in line', async () => {
    const busy = new SolverPool({ threads: 1, waiting: 1 });
    const works = Array.from({ length: 4 }, () => codeOf(busy.solve(marketSplit(6, 50), { milliseconds: 500 })));
    const codes = await Promise.all(works);
    expect(codes.filter((code) => code === 'solver-busy').length).toBe(2);
    await busy.close();
  });
});
