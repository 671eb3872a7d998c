import { describe, expect, it } from '@jest/globals';
import { canonicalJson, commandNames, commands, isCommandName } from '@frostmoot/calc';
import { goldenCases, turnedRound } from './golden-cases.ts';

const run = (command: string, input: unknown): string => {
  if (!isCommandName(command)) throw new Error(`There is no calculation ${command}.`);
  return canonicalJson(commands[command](input));
};

describe('the worked cases', () => {
  it.each(goldenCases)('$command $name', ({ command, input, output, source }) => {
    expect(source).not.toBe('');
    expect(run(command, input)).toBe(canonicalJson(output));
  });

  it.each(goldenCases)('$command $name: the same bytes with every list and record the other way round', (worked) => {
    expect(run(worked.command, turnedRound(worked.input))).toBe(run(worked.command, worked.input));
  });

  it.each(commandNames)('%s has at least one', (command) => {
    expect(goldenCases.some((worked) => worked.command === command)).toBe(true);
  });
});
