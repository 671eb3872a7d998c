#!/usr/bin/env node
// The command line: `frostmoot calc NAME < input.json`, `frostmoot verify-share-out < proof.json` and `frostmoot doctor`. Results go to standard output, everything else to standard error.
import { spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { createRequire } from 'node:module';
import { parseJson, problemOf, readStandardInput } from './json-input.mjs';
import { root } from './workspace.mjs';

/** @typedef {typeof import('@frostmoot/calc')} Calc */

const help = `frostmoot: one round, calculated

  frostmoot calc NAME < input.json   a calculation; JSON in, JSON out
  frostmoot verify-share-out < proof.json
                                     whether a share-out's proof file holds, in sentences; 0 yes, 1 no, 2 unreadable
  frostmoot doctor                   what is wrong with this set-up, in sentences
  frostmoot help                     this text

The calculations:
`;

/** Builds packages/calc where that has not been done yet, and loads what was built. @returns {Promise<Calc>} */
async function loadCalc() {
  // Forced, because the compiler takes its own note of the last build for the build itself.
  if (!existsSync(`${root}/packages/calc/dist/index.js`)) {
    process.stderr.write('Building the calculations once ...\n');
    const compiler = createRequire(import.meta.url).resolve('typescript/bin/tsc');
    const built = spawnSync(process.execPath, [compiler, '-b', '--force', 'packages/calc'], {
      cwd: root,
      stdio: ['ignore', 2, 2],
    });
    if (built.status !== 0) throw new Error('The calculations could not be built; see above.');
  }
  return import('@frostmoot/calc');
}

/**
 * Runs one calculation; 0 when the result stands on standard output, 2 when the input was refused.
 * @param {string} name
 */
async function runCalculation(name) {
  const calc = await loadCalc();
  try {
    if (!calc.isCommandName(name)) {
      const known = calc.commandNames.join(', ');
      throw new calc.DomainError('unknown-command', `There is no calculation "${name}"; there are: ${known}.`);
    }
    const input = parseJson(await readStandardInput(calc), calc);
    process.stdout.write(`${calc.canonicalJson(calc.commands[name](input))}\n`);
    return 0;
  } catch (error) {
    if (!(error instanceof calc.DomainError)) throw error;
    process.stderr.write(`${calc.canonicalJson(problemOf(error))}\n`);
    return 2;
  }
}

/**
 * Checks a proof file; 0 when it holds, 1 when it does not, 2 when it cannot be read.
 * @param {string[]} words
 */
async function verifyShareOut(words) {
  const { checkProofFile, verifyHelp } = await import('./verify-share-out.mjs');
  if (words.length > 0) {
    const asked = words.length === 1 && isHelp(words[0]);
    (asked ? process.stdout : process.stderr).write(verifyHelp);
    return asked ? 0 : 2;
  }
  const calc = await loadCalc();
  try {
    const { holds, text } = checkProofFile(calc, parseJson(await readStandardInput(calc), calc));
    process.stdout.write(text);
    return holds ? 0 : 1;
  } catch (error) {
    if (!(error instanceof calc.DomainError)) throw error;
    process.stderr.write(`${calc.canonicalJson(problemOf(error))}\n`);
    return 2;
  }
}

/** @param {string | undefined} word */
const isHelp = (word) => ['help', '--help', '-h'].includes(word ?? '');

/** @param {string[]} words */
async function run([command, ...rest]) {
  if (command === 'calc') return runCalculation(rest.join(' '));
  if (command === 'verify-share-out') return verifyShareOut(rest);
  if (command === 'doctor') return (await import('./doctor.mjs')).doctor();
  const names = (await loadCalc()).commandNames.map((name) => `  ${name}\n`).join('');
  const asked = command === undefined || isHelp(command);
  (asked ? process.stdout : process.stderr).write(help + names);
  return asked ? 0 : 2;
}

process.exitCode = await run(process.argv.slice(2));
