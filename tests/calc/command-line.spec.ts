import { beforeAll, describe, expect, it } from '@jest/globals';
import { canonicalJson, commandNames } from '@frostmoot/calc';
import { buildCommandLine, frostmoot, problemOf } from './frostmoot.ts';
import { goldenCases, turnedRound } from './golden-cases.ts';

beforeAll(buildCommandLine);

describe('frostmoot calc', () => {
  it.each(commandNames)(
    '%s answers with sorted JSON on standard output, whatever the order of the input',
    (command) => {
      const worked = goldenCases.find((each) => each.command === command);
      const expected = { status: 0, stdout: `${canonicalJson(worked?.output)}\n`, stderr: '' };
      expect(frostmoot(['calc', command], JSON.stringify(worked?.input))).toEqual(expected);
      expect(frostmoot(['calc', command], JSON.stringify(turnedRound(worked?.input), undefined, 3))).toEqual(expected);
    },
  );

  it.each(commandNames)('%s refuses a wrong input with one problem document and exit status 2', (command) => {
    const problem = problemOf(frostmoot(['calc', command], '{"surely not known": 1}'));
    expect(problem).toMatchObject({ code: 'invalid-input', status: 422 });
    expect(problem.errors.map(({ pointer }) => pointer)).toContain('#/surely%20not%20known');
  });

  it.each([
    ['nothing', ''],
    ['half a document', '{"quantity": '],
    ['two documents', '{} {}'],
    ['text that is not UTF-8', Buffer.from([0x22, 0xff, 0x22])],
  ])('refuses %s as no JSON', (_what, input) => {
    expect(problemOf(frostmoot(['calc', 'convert'], input))).toMatchObject({ code: 'not-json', status: 400 });
  });

  it('refuses more than 10 MB, and brackets without end', () => {
    const long = `"${'x'.repeat(10 * 1024 * 1024)}"`;
    expect(problemOf(frostmoot(['calc', 'convert'], long))).toMatchObject({ code: 'too-large', status: 413 });
    expect(problemOf(frostmoot(['calc', 'explode'], '['.repeat(1_000_000)))).toMatchObject({ code: 'too-large' });
    const deepText = JSON.stringify({ quantity: '1', from: 'g', to: '[['.repeat(18) });
    expect(problemOf(frostmoot(['calc', 'convert'], deepText))).toMatchObject({ code: 'unknown-unit' });
  });

  it('refuses a number of ten million digits before reckoning with it', () => {
    const input = JSON.stringify({ quantity: '9'.repeat(10_000_000), from: 'g', to: 'kg' });
    expect(problemOf(frostmoot(['calc', 'convert'], input))).toMatchObject({
      code: 'invalid-input',
      errors: [{ pointer: '#/quantity' }],
    });
  });

  it.each(commandNames)('%s refuses nearly 10 MB of members where a few belong', (command) => {
    const input = goldenCases.find((each) => each.command === command)?.input as Record<string, unknown>;
    const [list = Object.keys(input)[0] ?? ''] = Object.keys(input).filter((key) => Array.isArray(input[key]));
    const text = JSON.stringify({ ...input, [list]: 'here' }).replace('"here"', () => `[${'1,'.repeat(5_200_000)}1]`);
    expect(text.length).toBeGreaterThan(10_000_000);
    const problem = problemOf(frostmoot(['calc', command], text));
    expect(problem.errors.some(({ pointer }) => pointer.startsWith(`#/${list}`))).toBe(true);
    expect(JSON.stringify(problem).length).toBeLessThan(20_000);
  });

  const step = { id: 'stir', active: 5 };
  it.each([
    ['freezing-time', '{"thickness": NaN}', 'not-json', '#'],
    ['convert', { quantity: 'NaN', from: 'g', to: 'kg' }, 'invalid-input', '#/quantity'],
    ['convert', { quantity: '-1', from: 'g', to: 'kg' }, 'invalid-input', '#/quantity'],
    ['convert', { quantity: '1', from: 'furlong', to: 'kg' }, 'unknown-unit', '#/from'],
    ['run-sheet', { people: 1, steps: [step, step] }, 'duplicate-id', '#/steps/1/id'],
    ['run-sheet', { people: 1, steps: [{ ...step, after: ['stir'] }] }, 'invalid-input', '#/steps/0/after'],
    [
      'cost-split',
      { lines: [{ id: 'x', amount: 'NaN', shares: { a: 1 } }], carried: {} },
      'invalid-input',
      '#/lines/0/amount',
    ],
    ['clear-balances', { balances: { a: 'NaN', b: '1' } }, 'invalid-input', '#/balances/a'],
    ['best-before', { frozenOn: '2026-11-28', months: -1 }, 'invalid-input', '#/months'],
  ])('%s refuses %j', (command, input, code, pointer) => {
    const text = typeof input === 'string' ? input : JSON.stringify(input);
    expect(problemOf(frostmoot(['calc', command], text))).toMatchObject({ code, errors: [{ pointer }] });
  });

  it('names the cycle of recipes', () => {
    const recipe = (id: string, other: string) => ({
      id,
      makes: { quantity: 1, unit: 'L' },
      lines: [{ recipe: other, quantity: 1, unit: 'L' }],
    });
    const input = JSON.stringify({ recipes: [recipe('b', 'a'), recipe('a', 'b')], wanted: [] });
    expect(problemOf(frostmoot(['calc', 'explode'], input))).toMatchObject({
      code: 'recipe-cycle',
      params: { cycle: 'a > b > a' },
    });
  });

  it.each([[[]], [['toString']], [['convert', 'scale']]])(
    'refuses calculation %j and says which there are',
    (words) => {
      const problem = problemOf(frostmoot(['calc', ...words]));
      expect(problem).toMatchObject({ code: 'unknown-command', status: 404 });
      expect(problem.errors[0]?.detail).toContain('servings-to-buy');
    },
  );
});

describe('frostmoot', () => {
  it.each([[[]], [['help']], [['--help']]])('%j prints a short help and succeeds', (words) => {
    const { status, stdout, stderr } = frostmoot(words);
    expect([status, stderr]).toEqual([0, '']);
    expect(stdout).toContain('frostmoot calc NAME < input.json');
    for (const name of commandNames) expect(stdout).toContain(`  ${name}\n`);
  });

  it('refuses a word that it does not know with the help on standard error', () => {
    const { status, stdout, stderr } = frostmoot(['cook']);
    expect([status, stdout]).toEqual([2, '']);
    expect(stderr).toContain('frostmoot calc NAME < input.json');
  });
});
