import { describe, expect, it } from '@jest/globals';
import { csv } from './csv.ts';

const text = (value: string) => ({ text: value });
const number = (value: string) => ({ number: value });

describe('comma-separated values', () => {
  // RFC 4180 (2005), section 2: records end with CRLF; commas, quotes and line breaks are enclosed in quotes, and a quote is doubled.
  it('ends every line with CRLF, the last one too', () => {
    expect(csv(['Date', 'What'], [[text('2026-11-25'), text('Paid')]])).toBe('Date,What\r\n2026-11-25,Paid\r\n');
  });

  it.each([
    ['a,b', '"a,b"'],
    ['a "b" c', '"a ""b"" c"'],
    ['a\r\nb', '"a\r\nb"'],
    ['a\nb', '"a\nb"'],
    ['plain', 'plain'],
    ['', ''],
  ])('writes the text %j as %j', (typed, cell) => {
    expect(csv(['H'], [[text(typed)]])).toBe(`H\r\n${cell}\r\n`);
  });

  it.each(['=1+1', '+1', '-1', '@here', '\tx'])('never lets the text %j be a formula', (typed) => {
    expect(csv(['H'], [[text(typed)]])).toBe(`H\r\n'${typed}\r\n`);
  });

  it('encloses a text in quotes after guarding it', () => {
    expect(csv(['H'], [[text('=HYPERLINK("a","b")')]])).toBe('H\r\n"\'=HYPERLINK(""a"",""b"")"\r\n');
  });

  it('leaves a negative number a number', () => {
    expect(csv(['H'], [[number('-11.63')]])).toBe('H\r\n-11.63\r\n');
  });
});
