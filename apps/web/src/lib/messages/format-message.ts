import { formatToParts } from 'intl-messageformat';
import { directionOf, type Language } from './languages.ts';
import type { CompiledMessage } from './compile.ts';

export type Tag<Node> = (chunks: Node[]) => Node;
export type MessageValue = string | number | bigint | null | undefined;
export type MessageValues = Record<string, MessageValue>;

const FIRST_STRONG_ISOLATE = '\u2068';
const RIGHT_TO_LEFT_ISOLATE = '\u2067';
const POP_ISOLATE = '\u2069';

const numberFormats = new Map<string, Intl.NumberFormat>();
const pluralRules = new Map<string, Intl.PluralRules>();
const keep = <T>(cache: Map<string, T>, locale: string, options: unknown, make: () => T): T => {
  const key = `${locale} ${JSON.stringify(options)}`;
  const found = cache.get(key) ?? make();
  cache.set(key, found);
  return found;
};

const formatters: Parameters<typeof formatToParts>[2] = {
  getNumberFormat: (locale, options) =>
    keep(
      numberFormats,
      String(locale),
      options,
      () => new Intl.NumberFormat(locale, options as Intl.NumberFormatOptions),
    ),
  getDateTimeFormat: (locale, options) => new Intl.DateTimeFormat(locale, options),
  getPluralRules: (locale, options) =>
    keep(pluralRules, String(locale), options, () => new Intl.PluralRules(locale, options as Intl.PluralRulesOptions)),
};
// Dates and times reach a message already written out by lib/format, in the cooperative's zone; only numbers are formatted here.
const styles = { number: { integer: { maximumFractionDigits: 0 } }, date: {}, time: {} } as Parameters<
  typeof formatToParts
>[3];

/** A value as people read it: digits of the language, and in right-to-left text kept from turning its neighbours round. */
function shown(value: unknown, language: Language, locale: string): unknown {
  if (typeof value === 'number' || typeof value === 'bigint') return formatters.getNumberFormat(locale).format(value);
  if (typeof value !== 'string' || directionOf(language) === 'ltr') return value;
  // What has isolates in it is a sentence of ours already: with nothing but those and a comma in it, its first strong letter would not be found.
  return (value.includes(POP_ISOLATE) ? RIGHT_TO_LEFT_ISOLATE : FIRST_STRONG_ISOLATE) + value + POP_ISOLATE;
}

/** The parts of a message in order: text, and whatever the tags and the values brought in. */
export function formatParts(
  message: CompiledMessage,
  language: Language,
  locale: string,
  values: Record<string, unknown> = {},
): unknown[] {
  if (typeof message === 'string') return [message];
  const filled: Record<string, unknown> = {};
  for (const [name, value] of Object.entries(values)) {
    filled[name] = value;
    filled[`$${name}`] = shown(value, language, locale);
  }
  return formatToParts(message, locale, formatters, styles, filled).map((part) => part.value);
}

export function formatText(
  message: CompiledMessage,
  language: Language,
  locale: string,
  values?: MessageValues,
): string {
  // Emphasis has no meaning in plain text (titles, labels), so the tags are dropped and their words kept.
  const plain = { b: (chunks: unknown[]) => chunks.join('') };
  return formatParts(message, language, locale, { ...plain, ...values }).join('');
}
