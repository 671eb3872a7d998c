#!/usr/bin/env node
// `npm test`: everything, from a fresh clone. The last line is `N passed, N failed`.
import { readFile, rm } from 'node:fs/promises';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { runChecks, runJest } from './checks.mjs';
import { install, isInstalled } from './install.mjs';
import { step } from './progress.mjs';
import { checkNode } from './start.mjs';
import { isMain, sentence } from './workspace.mjs';

const counts = { passed: 0, failed: 0 };

/** @param {{ passed: number, failed: number }} more */
function add(more) {
  counts.passed += more.passed;
  counts.failed += more.failed;
}

/** @param {string[]} args */
async function main(args) {
  checkNode();
  console.log('Preparing');
  if (!(await isInstalled())) await step('Installing the packages (once)', install);
  const { installTestPrograms } = await import('./chromium.mjs');
  await step('Programs that the tests use', async (note) => note(await installTestPrograms()));
  const { build } = await import('./build.mjs');
  await build();

  console.log('Checking');
  add(await runChecks());
  console.log('Testing');
  add(await runAllTests(args));
}

/** Jest's own output is the progress; the figures come from its report. @param {string[]} args */
async function runAllTests(args) {
  const report = join(tmpdir(), `frostmoot-jest-${process.pid}.json`);
  const code = await runJest(['--maxWorkers=2', '--json', `--outputFile=${report}`, ...args]);
  try {
    const result = JSON.parse(await readFile(report, 'utf8'));
    const left = result.numPendingTests + result.numTodoTests;
    if (left > 0) console.log(`  ${left} tests were not run; each counts as failed.`);
    const failed = result.numFailedTests + result.numRuntimeErrorTestSuites + left;
    // An error after the last test (in the tear-down) fails no test of its own.
    return { passed: result.numPassedTests, failed: failed === 0 && code !== 0 ? 1 : failed };
  } catch {
    console.log('  Jest ended without a report.');
    return { passed: 0, failed: 1 };
  } finally {
    await rm(report, { force: true });
  }
}

if (isMain(import.meta.url)) {
  try {
    await main(process.argv.slice(2));
  } catch (error) {
    console.error(`\n${sentence(error)}`);
    counts.failed += 1;
  }
  console.log(`${counts.passed} passed, ${counts.failed} failed`);
  process.exitCode = counts.failed > 0 ? 1 : 0;
}
