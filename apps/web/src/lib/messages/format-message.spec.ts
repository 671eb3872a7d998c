import { describe, expect, it } from '@jest/globals';
import { compileMessage } from './compile.ts';
import { formatParts, formatText } from './format-message.ts';
import { chooseLanguage, formatLocale } from './languages.ts';

const english = (message: string, values?: Record<string, string | number>) =>
  formatText(compileMessage(message, 'test'), 'en', 'en-GB', values);
const arabic = (message: string, values?: Record<string, string | number>) =>
  formatText(compileMessage(message, 'test'), 'ar', 'ar-EG-u-nu-arab', values);

describe('formatText', () => {
  it('keeps a message without variables as it is', () => {
    expect(compileMessage('Move to buying', 'test')).toBe('Move to buying');
  });

  it('chooses the plural form and writes the number in it', () => {
    const message = '{n, plural, one {# portion} other {# portions}}';
    expect(english(message, { n: 1 })).toBe('1 portion');
    expect(english(message, { n: 1200 })).toBe('1,200 portions');
  });

  // Categories of Arabic: Unicode CLDR, plural rules (cardinal).
  it.each([
    [0, 'zero'],
    [1, 'one'],
    [2, 'two'],
    [3, 'few'],
    [10, 'few'],
    [11, 'many'],
    [99, 'many'],
    [100, 'other'],
    [103, 'few'],
  ])('takes the form of Arabic for %i', (n, form) => {
    const message = '{n, plural, zero {zero} one {one} two {two} few {few} many {many} other {other}}';
    expect(arabic(message, { n })).toBe(form);
  });

  it('writes a plain number in the digits of the language', () => {
    expect(arabic('الجولة {number}', { number: 14 })).toBe('الجولة ١٤');
    expect(arabic('{n, plural, zero {} one {} two {} few {# حصص} many {} other {}}', { n: 3 })).toBe('٣ حصص');
  });

  it('isolates names in right-to-left text, and only there', () => {
    expect(arabic('أسرة {household}', { household: 'Okonjo-Weir' })).toBe('أسرة \u2068Okonjo-Weir\u2069');
    expect(english('{household} household', { household: 'Okonjo-Weir' })).toBe('Okonjo-Weir household');
  });

  it('keeps a sentence within a sentence running from right to left, even where it is made of names alone', () => {
    const inner = arabic('{stage}، {when}', { stage: 'Cook', when: '6 Dec' });
    expect(arabic('التالي: {next}', { next: inner })).toBe('التالي: \u2067\u2068Cook\u2069، \u20686 Dec\u2069\u2069');
  });

  it('selects by the raw value', () => {
    const message = '{state, select, held {Set aside} other {Free}}';
    expect(arabic(message, { state: 'held' })).toBe('Set aside');
  });

  it('drops emphasis in plain text and hands its words to the tag otherwise', () => {
    const message = compileMessage('Nobody is more than <b>{n} portions</b> off', 'test');
    expect(formatText(message, 'en', 'en-GB', { n: 2 })).toBe('Nobody is more than 2 portions off');
    const parts = formatParts(message, 'en', 'en-GB', {
      n: 2,
      b: (chunks: unknown[]) => ({ strong: chunks.join('') }),
    });
    expect(parts).toEqual(['Nobody is more than ', { strong: '2 portions' }, ' off']);
  });

  it('says which value is missing', () => {
    expect(() => english('By {day}')).toThrow(/"\$?day" was not provided/);
  });

  it('names the place of a message that does not parse', () => {
    expect(() => compileMessage('{n, plural, one {x}}', 'en/round.json: title')).toThrow(/en\/round\.json: title/);
  });
});

describe('chooseLanguage', () => {
  it('takes the first wanted language that there is', () => {
    expect(chooseLanguage(['fr-FR', 'es-419', 'en'])).toBe('es');
    expect(chooseLanguage(['fr'])).toBe('en');
  });
});

describe('formatLocale', () => {
  it('follows the region that the cooperative names, else its units', () => {
    expect(formatLocale('en', { locale: 'en-IE', unitSystem: 'metric' })).toBe('en-IE');
    expect(formatLocale('en', { locale: 'en', unitSystem: 'us' })).toBe('en-US');
    expect(formatLocale('en', { locale: 'es', unitSystem: 'metric' })).toBe('en-GB');
    expect(formatLocale('ar', { locale: 'en', unitSystem: 'metric' })).toBe('ar-EG-u-nu-arab');
  });
});
