import { spawnSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { expect } from '@jest/globals';

const root = fileURLToPath(new URL('../..', import.meta.url));

export interface Run {
  status: number | null;
  stdout: string;
  stderr: string;
}

/** Runs the command line as a person does. */
export const frostmoot = (words: string[], input: string | Buffer = ''): Run => {
  const { status, stdout, stderr } = spawnSync(process.execPath, ['tools/frostmoot.mjs', ...words], {
    cwd: root,
    input,
    maxBuffer: 64 * 1024 * 1024,
  });
  return { status, stdout: String(stdout), stderr: String(stderr) };
};

export interface Problem {
  status: number;
  code: string;
  errors: { pointer: string; detail: string }[];
}

/** The one problem document of a refused input, or a failed test: exit 2, nothing on standard output, one line of JSON on standard error. */
export function problemOf({ status, stdout, stderr }: Run): Problem {
  expect([status, stdout]).toEqual([2, '']);
  expect(stderr).toMatch(/^\{.*\}\n$/);
  const problem = JSON.parse(stderr) as Problem;
  expect(problem).toEqual(
    expect.objectContaining({
      type: `/problems/${problem.code}`,
      title: expect.stringMatching(/./),
      status: expect.any(Number),
      detail: expect.stringMatching(/./),
    }),
  );
  expect(problem.errors.length).toBeGreaterThan(0);
  for (const { pointer, detail } of problem.errors) {
    expect(pointer).toMatch(/^#(\/.*)?$/);
    expect(detail).not.toBe('');
  }
  return problem;
}

/** The command line runs what is built, so it is built from what is here. */
export function buildCommandLine(): void {
  const { status, stdout } = spawnSync(process.execPath, ['node_modules/typescript/bin/tsc', '-b', 'packages/calc'], {
    cwd: root,
    encoding: 'utf8',
  });
  expect([status, stdout]).toEqual([0, '']);
}
