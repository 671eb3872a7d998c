#!/usr/bin/env node
// The command line: `frostmoot calc NAME < input.json` and `frostmoot doctor`. Results go to standard output, everything else to standard error.
import { spawnSync } from 'node:child_process';
import { existsSync } from 'node:fs';
import { createRequire } from 'node:module';
import { root } from './workspace.mjs';

/** @typedef {typeof import('@frostmoot/calc')} Calc */

const greatestInputBytes = 10 * 1024 * 1024;
const deepestNesting = 100;

const help = `frostmoot: one round, calculated

  frostmoot calc NAME < input.json   a calculation; JSON in, JSON out
  frostmoot doctor                   what is wrong with this set-up, in sentences
  frostmoot help                     this text

The calculations:
`;

/** HTTP's number for a code, as the problem document asks for one; everything that a calculation refuses is 422. */
/** @type {Record<string, [number, string]>} */
const otherStatuses = {
  'not-json': [400, 'Not JSON'],
  'unknown-command': [404, 'No such calculation'],
  'too-large': [413, 'Too large'],
};

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
 * Standard input as text, refused as soon as it is too long.
 * @param {Calc} calc
 */
async function readStandardInput({ DomainError }) {
  /** @type {Buffer[]} */
  const chunks = [];
  let length = 0;
  for await (const chunk of process.stdin) {
    length += chunk.length;
    if (length > greatestInputBytes) throw new DomainError('too-large', 'The input is larger than 10 MB.');
    chunks.push(chunk);
  }
  try {
    return new TextDecoder('utf-8', { fatal: true }).decode(Buffer.concat(chunks));
  } catch {
    throw new DomainError('not-json', 'The input is not UTF-8 text.');
  }
}

/**
 * How deep lists and records stand in one another; brackets inside of strings do not count.
 * @param {string} text
 */
function nestingOf(text) {
  let depth = 0;
  let deepest = 0;
  let inString = false;
  for (let i = 0; i < text.length; i += 1) {
    const character = text[i];
    if (inString) {
      if (character === '\\') i += 1;
      else if (character === '"') inString = false;
    } else if (character === '"') inString = true;
    else if (character === '[' || character === '{') deepest = Math.max(deepest, (depth += 1));
    else if (character === ']' || character === '}') depth -= 1;
  }
  return deepest;
}

/**
 * @param {string} text
 * @param {Calc} calc
 * @returns {unknown}
 */
function parseJson(text, { DomainError }) {
  if (nestingOf(text) > deepestNesting) {
    throw new DomainError('too-large', `Lists and records stand more than ${deepestNesting} deep in one another.`);
  }
  try {
    return JSON.parse(text);
  } catch (error) {
    const reason = error instanceof Error ? error.message : String(error);
    const detail = text.trim() === '' ? 'There is no input; give JSON on standard input.' : `Not JSON: ${reason}`;
    throw new DomainError('not-json', detail);
  }
}

/**
 * The problem document of RFC 9457 for a refusal.
 * @param {InstanceType<Calc['DomainError']>} refusal
 */
function problemOf({ code, message, errors, params }) {
  const [status, title] = otherStatuses[code] ?? [422, 'The input cannot be calculated'];
  return {
    type: `/problems/${code}`,
    title,
    status,
    detail: message,
    code,
    errors: errors.length > 0 ? errors : [{ pointer: '#', detail: message }],
    ...(params ? { params } : {}),
  };
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

/** @param {string[]} words */
async function run([command, ...rest]) {
  if (command === 'calc') return runCalculation(rest.join(' '));
  if (command === 'doctor') return (await import('./doctor.mjs')).doctor();
  const names = (await loadCalc()).commandNames.map((name) => `  ${name}\n`).join('');
  const asked = command === undefined || ['help', '--help', '-h'].includes(command);
  (asked ? process.stdout : process.stderr).write(help + names);
  return asked ? 0 : 2;
}

process.exitCode = await run(process.argv.slice(2));
