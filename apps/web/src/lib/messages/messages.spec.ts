import { parse, TYPE, type MessageFormatElement } from '@formatjs/icu-messageformat-parser';
import { describe, expect, it } from '@jest/globals';
import { readdirSync, readFileSync } from 'node:fs';
import { LANGUAGES, type Language } from './languages.ts';

const folder = (language: Language): string => `${import.meta.dirname}/${language}`;
const read = (language: Language, area: string) =>
  JSON.parse(readFileSync(`${folder(language)}/${area}`, 'utf8')) as Record<string, string>;
const areas = readdirSync(folder('en')).sort();

/** Every element of a message, those inside plurals, selects and tags included. */
function* elementsOf(elements: readonly MessageFormatElement[]): Generator<MessageFormatElement> {
  for (const element of elements) {
    yield element;
    if (element.type === TYPE.tag) yield* elementsOf(element.children);
    if (element.type === TYPE.plural || element.type === TYPE.select) {
      for (const option of Object.values(element.options)) yield* elementsOf(option.value);
    }
  }
}

const isNamed = (element: MessageFormatElement) => element.type !== TYPE.literal && element.type !== TYPE.pound;

function placeholders(message: string): string[] {
  const named = [...elementsOf(parse(message))].filter(isNamed);
  return [
    ...new Set(
      named.map((element) => `${element.type === TYPE.tag ? '<>' : ''}${(element as { value: string }).value}`),
    ),
  ].sort();
}

const cases = areas.flatMap((area) => LANGUAGES.map((language) => ({ area, language })));

describe('the message catalogue', () => {
  it.each(LANGUAGES)('has the same areas in %s as in English', (language) => {
    expect(readdirSync(folder(language)).sort()).toEqual(areas);
  });

  it.each(cases)('has the same keys in $language/$area as in English', ({ area, language }) => {
    expect(Object.keys(read(language, area)).sort()).toEqual(Object.keys(read('en', area)).sort());
  });

  it.each(cases)('has words for every key of $language/$area', ({ area, language }) => {
    const empty = Object.entries(read(language, area)).filter(([, message]) => message.trim() === '');
    expect(empty).toEqual([]);
  });

  it.each(cases)('has the placeholders of English in $language/$area', ({ area, language }) => {
    const english = read('en', area);
    const different = Object.entries(read(language, area))
      .map(([key, message]) => ({ key, here: placeholders(message), english: placeholders(english[key] ?? '') }))
      .filter(({ here, english: there }) => here.join() !== there.join());
    expect(different).toEqual([]);
  });

  // The categories of each language come from CLDR's plural rules, as the runtime carries them.
  it.each(cases)('has every plural category of its language in $language/$area', ({ area, language }) => {
    const incomplete = Object.entries(read(language, area)).flatMap(([key, message]) =>
      [...elementsOf(parse(message))]
        .filter((element) => element.type === TYPE.plural)
        .map((plural) => {
          const { pluralCategories } = new Intl.PluralRules(language, {
            type: plural.pluralType ?? 'cardinal',
          }).resolvedOptions();
          return { key, missing: pluralCategories.filter((category) => !(category in plural.options)) };
        })
        .filter(({ missing }) => missing.length > 0),
    );
    expect(incomplete).toEqual([]);
  });

  it.each(cases)(
    'spells $language/$area with typographic apostrophes, since a straight one quotes in ICU',
    ({ area, language }) => {
      const straight = Object.entries(read(language, area)).filter(([, message]) => message.includes("'"));
      expect(straight).toEqual([]);
    },
  );
});
