import { Injectable } from '@nestjs/common';
import type { NoticeFacts } from '@frostmoot/contract';
import { IntlMessageFormat } from 'intl-messageformat';
import { Catalogue, LOCALES, type Language } from '../platform/words/catalogue.ts';

/** How figures of a mail are written, of the cooperative that it comes from. */
export interface MailPlace {
  currency: string;
  timeZone: string;
}

/** Words of mails, out of the one message catalogue that the screens use as well. */
@Injectable()
export class MailWords {
  constructor(private readonly catalogue: Catalogue) {}

  direction(language: string): 'ltr' | 'rtl' {
    return language === 'ar' ? 'rtl' : 'ltr';
  }

  /** The words of a key of the area `notices`, for a reader of that language. */
  say(language: string, key: string, facts: NoticeFacts, place: MailPlace): string {
    const known = language in LOCALES ? (language as Language) : 'en';
    const locale = LOCALES[known];
    const text = this.catalogue.message(known, 'notices', key);
    const values = Object.fromEntries(
      Object.entries(facts).map(([name, value]) => [name, shown(name, value, locale, place)]),
    );
    // Emphasis has no place in plain text.
    const plain = { b: (chunks: string[]) => chunks.join('') };
    return String(new IntlMessageFormat(text, locale).format({ ...values, ...plain }));
  }
}

function shown(name: string, value: string | number, locale: string, { currency, timeZone }: MailPlace) {
  if (typeof value === 'number') return value;
  const day = { weekday: 'short', day: 'numeric', month: 'short' } as const;
  if (name.endsWith('On')) return new Intl.DateTimeFormat(locale, { ...day, timeZone: 'UTC' }).format(new Date(value));
  if (name.endsWith('At')) {
    const time = { hour: '2-digit', minute: '2-digit' } as const;
    return new Intl.DateTimeFormat(locale, { ...day, ...time, timeZone }).format(new Date(value));
  }
  if (name.endsWith('Minor')) {
    const format = new Intl.NumberFormat(locale, { style: 'currency', currency });
    const digits = format.resolvedOptions().maximumFractionDigits ?? 2;
    return format.format(`${value}E-${digits}` as unknown as number);
  }
  // A name in another script must not turn its neighbours round (Unicode UAX #9).
  return locale.startsWith('ar') ? `\u2068${value}\u2069` : value;
}
