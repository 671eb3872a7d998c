import { beforeAll, describe, expect, it } from '@jest/globals';
import { shareOut } from '@frostmoot/calc';
import { buildCommandLine, frostmoot, problemOf } from './frostmoot.ts';

beforeAll(buildCommandLine);

const input = {
  seed: 'round',
  households: [
    { id: 'a', weight: '2', excludes: ['pie'] },
    { id: 'b', weight: '1', owed: '1/3' },
    { id: 'c', weight: '7/2', owed: '-1/3', refuses: ['stew'] },
  ],
  lots: [
    { id: 'l', dish: 'stew', containers: 5, portions: 4 },
    { id: 'm', dish: 'pie', containers: 3, portions: 2 },
  ],
};
const result = shareOut(input);
const assignedOf = ({ containers }: typeof result) =>
  Object.fromEntries(
    Object.entries(containers).map(([household, lots]) => [
      household,
      Object.entries(lots).flatMap(([lot, n]) => Array.from({ length: n }, (_, i) => `${household}-${lot}-${i}`)),
    ]),
  );
const assigned = assignedOf(result);
const file = { shareOutId: 's', roundId: 'r', state: 'proposed', proof: result.proof, input, result, assigned };
const verify = (given: unknown) => frostmoot(['verify-share-out'], JSON.stringify(given));

describe('frostmoot verify-share-out', () => {
  it('says what it checked of a file that holds, and what is not claimed', () => {
    const { status, stdout, stderr } = verify(file);
    expect([status, stderr]).toEqual([0, '']);
    expect(stdout).toMatch(/^The share-out is what its proof says\.\n/);
    expect(stdout).toContain('8 containers in 2 lots');
    expect(stdout).toContain('3 households');
    expect(stdout).toContain('8 very containers assigned');
    expect(stdout).toContain('Not claimed:');
    for (const line of stdout.split('\n').filter((text) => text !== '')) expect(line).toMatch(/[.:]$/);
  });

  it('counts what was claimed before the share-out among the containers assigned', () => {
    const [a, ...others] = input.households;
    const claimed = { ...input, households: [{ ...a!, holds: { l: 1 } }, ...others] };
    const given = shareOut(claimed);
    const { status, stdout } = verify({ ...file, input: claimed, result: given, assigned: assignedOf(given) });
    expect([status, stdout.split('\n')[0]]).toEqual([0, 'The share-out is what its proof says.']);
  });

  it('takes an input and a result of `calc share-out` too, and says that no containers are named', () => {
    const { status, stdout } = verify({ input, result });
    expect(status).toBe(0);
    expect(stdout).toContain('The file names no very containers.');
  });

  it.each<[string, string, unknown]>([
    ['a container too few assigned', 'assigned is not the number given', { ...file, assigned: { ...assigned, b: [] } }],
    [
      'a container assigned twice',
      'is assigned twice',
      { ...file, assigned: { ...assigned, b: Array.from(assigned.b ?? [], () => assigned.a?.[0]) } },
    ],
    ['a household that is not there', 'a household that gets none', { ...file, assigned: { ...assigned, x: ['1'] } }],
    ['another standing of the proof', 'another standing', { ...file, proof: 'bounded' }],
    ['a figure', '(household "b")', { ...file, result: { ...result, target: { ...result.target, b: '1' } } }],
  ])('refuses %s with exit status 1 and says so', (_, words, given) => {
    const { status, stdout, stderr } = verify(given);
    expect([status, stderr]).toEqual([1, '']);
    expect(stdout).toMatch(/^The share-out is not what its proof says: \d+ things? wrong\.\n/);
    expect(stdout).toContain(words);
    expect(stdout).not.toContain('Checked');
  });

  it.each<[string, unknown, string]>([
    ['an input that is none', { ...file, input: { ...input, lots: 'none' } }, '#/input/lots'],
    ['no input', { result }, '#/input'],
    ['no result', { input }, '#/result'],
    ['a result without figures', { input, result: { ...result, target: undefined } }, '#/result/target'],
    ['a number that is none', { input, result: { ...result, short: { a: '1/0' } } }, '#/result/short/a'],
    ['half a container', { input, result: { ...result, unallotted: { l: 0.5 } } }, '#/result/unallotted/l'],
    ['a member that it does not know', { ...file, proven: true }, '#/proven'],
    ['no record at all', [file], '#'],
  ])('refuses %s with one problem document and exit status 2', (_, given, pointer) => {
    const { code, errors } = problemOf(verify(given));
    expect(code).toBe('invalid-input');
    expect(errors.map((each) => each.pointer)).toContain(pointer);
  });

  it('refuses what is no JSON, explains itself when asked, and takes no other words', () => {
    expect(problemOf(frostmoot(['verify-share-out'], '{'))).toMatchObject({ code: 'not-json' });
    const help = frostmoot(['verify-share-out', '--help']);
    expect([help.status, help.stderr]).toEqual([0, '']);
    expect(help.stdout).toContain('Exit status: 0');
    expect(frostmoot(['verify-share-out', 'proof.json'])).toMatchObject({ status: 2, stdout: '', stderr: help.stdout });
  });
});
