// What the commands read from standard input, and the problem document that they answer a refused one with.

/** @typedef {typeof import('@frostmoot/calc')} Calc */

const greatestInputBytes = 10 * 1024 * 1024;
const deepestNesting = 100;

/** HTTP's number for a code, as the problem document asks for one; everything that a calculation refuses is 422. */
/** @type {Record<string, [number, string]>} */
const otherStatuses = {
  'not-json': [400, 'Not JSON'],
  'unknown-command': [404, 'No such calculation'],
  'too-large': [413, 'Too large'],
};

/**
 * Standard input as text, refused as soon as it is too long.
 * @param {Calc} calc
 */
export async function readStandardInput({ DomainError }) {
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
export function parseJson(text, { DomainError }) {
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
export function problemOf({ code, message, errors, params }) {
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
