#!/usr/bin/env node
// `npm run check`: what can be known in a minute, without a database or a browser.
import { runChecks, runJest } from './checks.mjs';
import { isMain, runCommand } from './workspace.mjs';

async function main() {
  const { generate } = await import('./build.mjs');
  await generate();
  const { failed } = await runChecks();
  const code = await runJest([
    '--testPathPatterns',
    String.raw`\.spec\.ts$`,
    '--testPathIgnorePatterns',
    String.raw`\.(int|race)\.spec\.ts$`,
  ]);
  return failed > 0 ? 1 : code;
}

if (isMain(import.meta.url)) await runCommand(main);
