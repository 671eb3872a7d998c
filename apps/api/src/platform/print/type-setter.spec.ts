import { describe, expect, it } from '@jest/globals';
import PDFDocument from 'pdfkit';
import { TypeSetter, type Direction, type Line } from './type-setter.ts';

const ARABIC = 'مستشفياتهم';
const document = () => new PDFDocument({ autoFirstPage: true, margin: 0, size: [1000, 1000] });

function set(text: string, direction: Direction, room: (whole: number) => number): Line[] {
  const setter = new TypeSetter(document(), direction);
  const [whole] = setter.lines(text, '700', () => Infinity);
  if (!whole) throw new Error('Nothing was set');
  return setter.lines(text, '700', () => room(whole.width));
}

/** In the order in which they are read. */
const read = (lines: readonly Line[]) => lines.map(({ items }) => items.map(({ text }) => text).join(''));

describe('lines of type', () => {
  it('end between words while every word fits', () => {
    const lines = set('Aubergine curry', 'ltr', (width) => width * 0.7);
    expect(lines.map(({ isBroken }) => isBroken)).toEqual([false, false]);
    expect(read(lines)).toEqual(['Aubergine', 'curry']);
  });

  it('say where a word goes on', () => {
    const lines = set('Aubergine', 'ltr', (width) => width * 0.7);
    expect(lines.map(({ isBroken }) => isBroken)).toEqual([true, false]);
    expect(read(lines).join('')).toBe('Aubergine');
  });

  it('keep broken Arabic in the order in which it is read, and its letters joined', () => {
    const lines = set(ARABIC, 'rtl', (width) => width * 0.7);
    expect(lines.map(({ isBroken }) => isBroken)).toEqual([true, false]);
    expect(read(lines).join('')).toBe(ARABIC);
    // What is drawn in one go is shaped as a whole.
    for (const { items } of lines) expect(items).toHaveLength(1);
    const alone = [...ARABIC].reduce((sum, letter) => sum + (set(letter, 'rtl', (width) => width)[0]?.width ?? 0), 0);
    expect(lines.reduce((sum, { width }) => sum + width, 0)).toBeLessThan(alone * 0.9);
  });

  it.each(['٠١٢٣٤٥٦٧٨٩', '0123456789'])('do not turn the digits %s round in a word that is broken', (digits) => {
    for (const direction of ['ltr', 'rtl'] as const) {
      const lines = set(digits, direction, (width) => width * 0.55);
      expect(read(lines)).toEqual([digits.slice(0, 5), digits.slice(5)]);
    }
  });
});
