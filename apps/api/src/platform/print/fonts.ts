import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { dirname, join } from 'node:path';
import { unpackWoff } from './woff.ts';

export type Weight = '400' | '700';

const require = createRequire(import.meta.url);

/**
 * The families that are printed with (SIL Open Font License 1.1), and the parts of each that may be needed. The Arabic one draws every letter as one glyph: where dots are
 * glyphs of their own, as in Noto, what is copied or searched in a PDF comes out as other letters.
 */
const FAMILIES = {
  'noto-sans': ['latin', 'latin-ext', 'vietnamese', 'greek', 'greek-ext', 'cyrillic', 'cyrillic-ext', 'devanagari'],
  'ibm-plex-sans-arabic': ['arabic'],
} as const;

interface Part {
  name: string;
  /** the font, read once */
  font: (weight: Weight) => Buffer;
  covers: (codePoint: number) => boolean;
}

const files = new Map<string, Buffer>();

function read(file: string): Buffer {
  const known = files.get(file) ?? unpackWoff(readFileSync(file));
  files.set(file, known);
  return known;
}

/** "U+0600-06FF,U+20AC" as a question about a code point. */
function coverage(ranges: string): Part['covers'] {
  const spans = ranges.split(',').map((range) => {
    const [from = '', to = from] = range.replace('U+', '').split('-');
    return [parseInt(from, 16), parseInt(to, 16)] as const;
  });
  return (codePoint) => spans.some(([from, to]) => codePoint >= from && codePoint <= to);
}

const parts: readonly Part[] = Object.entries(FAMILIES).flatMap(([family, names]) => {
  const folder = dirname(require.resolve(`@fontsource/${family}/package.json`));
  const ranges = require(`@fontsource/${family}/unicode.json`) as Record<string, string>;
  return names.map((name) => ({
    name: `${family}-${name}`,
    font: (weight: Weight) => read(join(folder, 'files', `${family}-${name}-${weight}-normal.woff`)),
    covers: coverage(ranges[name] ?? ''),
  }));
});

const [plain] = parts as [Part];

/**
 * The part to print a character (a grapheme cluster) with: the one in use where it has it, else the first that has. Where none has it, the plain part shows the empty
 * box of a missing glyph.
 */
export function partFor(cluster: string, inUse: Part = plain): Part {
  const codePoints = [...cluster].map((character) => character.codePointAt(0) ?? 0);
  const fits = (part: Part) => codePoints.every((codePoint) => part.covers(codePoint));
  return fits(inUse) ? inUse : (parts.find(fits) ?? plain);
}

export type FontPart = Part;
