// The checks that need no running program, each of which counts as one in the result of `npm test`.
import { join } from 'node:path';
import { seconds } from './progress.mjs';
import { root, run } from './workspace.mjs';

/** @typedef {{ name: string, script: string, args: string[] }} Check */

/** @type {Check[]} */
export const CHECKS = [
  { name: 'types', script: 'typescript/bin/tsc', args: ['-b'] },
  { name: 'lint', script: 'eslint/bin/eslint.js', args: ['.'] },
  {
    name: 'boundaries',
    script: 'dependency-cruiser/bin/dependency-cruise.mjs',
    args: ['--config', '.dependency-cruiser.mjs', 'packages', 'apps', 'tools', 'tests'],
  },
  { name: 'unused code', script: 'knip/bin/knip.js', args: ['--no-progress'] },
  { name: 'format', script: 'prettier/bin/prettier.cjs', args: ['--check', '--log-level', 'warn', '.'] },
];

const PATH_OF_JEST = 'jest/bin/jest.js';

/** Runs every check, goes on after a failure, and shows what a failed one said. @returns {Promise<{ passed: number, failed: number }>} */
export async function runChecks() {
  const counts = { passed: 0, failed: 0 };
  for (const { name, script, args } of CHECKS) {
    const begun = performance.now();
    const { code, output } = await run(process.execPath, [join(root, 'node_modules', script), ...args], {
      env: { ...process.env, NO_COLOR: '1' },
    });
    counts[code === 0 ? 'passed' : 'failed'] += 1;
    console.log(`  ${code === 0 ? 'pass' : 'FAIL'}  ${name} (${seconds(begun)})`);
    if (code !== 0) console.log(output.trimEnd().replace(/^/gm, '        '));
  }
  return counts;
}

/** Runs Jest with its own output shown. @param {string[]} args @returns {Promise<number>} its exit code */
export async function runJest(args) {
  const options = [process.env.NODE_OPTIONS, '--experimental-vm-modules', '--disable-warning=ExperimentalWarning'];
  const env = { ...process.env, NODE_OPTIONS: options.filter(Boolean).join(' ') };
  const { code } = await run(process.execPath, [join(root, 'node_modules', PATH_OF_JEST), ...args], {
    env,
    show: true,
  });
  return code;
}
