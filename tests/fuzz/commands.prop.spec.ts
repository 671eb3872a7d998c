import { canonicalJson, commandNames, commands, DomainError, domainErrorCodes } from '@frostmoot/calc';
import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { inputsOf } from './spoiled-inputs.ts';

const inputsEach = 10_000;
const codes: ReadonlySet<string> = new Set(domainErrorCodes);

/** A key as a pointer shows it: cut short, and half of a surrogate pair, which no text can show, as the sign for that. */
const shown = (key: string): string => key.slice(0, 120).replaceAll(/\p{Cs}/gu, '\ufffd');

/** Whether a pointer names a place of the input: all but its last part must be there, since what is missing has a place too. */
function isPlaceIn(input: unknown, pointer: string): boolean {
  if (pointer === '#') return true;
  if (!pointer.startsWith('#/')) return false;
  const parts = pointer.slice(2).split('/').slice(0, -1);
  let here: unknown = input;
  for (const part of parts) {
    const key = decodeURIComponent(part).replaceAll('~1', '/').replaceAll('~0', '~');
    if (typeof here !== 'object' || here === null) return false;
    const own = Object.keys(here).find((each) => shown(each) === key);
    if (own === undefined) return false;
    here = (here as Record<string, unknown>)[own];
  }
  return true;
}

/** Whether there was an answer, which is whole JSON, or a refusal that says why and where. Anything else is thrown on. */
async function check(answer: () => unknown, input: unknown): Promise<'answered' | 'refused'> {
  try {
    const text = canonicalJson(await answer());
    if (canonicalJson(JSON.parse(text)) !== text) throw new Error('The result is no JSON.');
    return 'answered';
  } catch (error) {
    if (!(error instanceof DomainError)) throw error;
    const { code, message, errors } = error;
    if (!codes.has(code) || message === '') throw new Error(`There is no code ${code}.`, { cause: error });
    const astray = errors.find(({ pointer, detail }) => detail === '' || !isPlaceIn(input, pointer));
    if (astray) throw new Error(`${astray.pointer} is no place of the input.`, { cause: error });
    // A number that grows beyond all use inside of a reckoning belongs to no one place.
    if (errors.length === 0 && code !== 'too-large') throw new Error(`${code} says no place.`, { cause: error });
    return 'refused';
  }
}

describe('ten thousand inputs', () => {
  it.each(commandNames)('of %s are each answered or refused with a code and places', async (command) => {
    const counts = { answered: 0, refused: 0 };
    await fc.assert(
      fc.asyncProperty(inputsOf(command), async (input) => {
        const before = JSON.stringify(input);
        counts[await check(() => commands[command](input), input)] += 1;
        // A calculation changes nothing of what it is given.
        if (JSON.stringify(input) !== before) throw new Error('The input was changed.');
      }),
      { numRuns: inputsEach },
    );
    expect(counts.answered).toBeGreaterThan(inputsEach / 100);
    expect(counts.refused).toBeGreaterThan(inputsEach / 100);
  });
});
