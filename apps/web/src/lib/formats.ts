import { rational, type Rational } from '@frostmoot/calc';
import { useMemo } from 'react';
import { useLocale } from './locale.tsx';
import { useCooperativeOrNull } from './session.tsx';
import {
  dayParts,
  formatClock,
  formatDay,
  formatTime,
  isForeignZone,
  localDateOf,
  zoneName,
  type DayForm,
} from './format/dates.ts';
import { currencySymbol, formatMoney, formatQuantity, formatUnit, type Digits, type Sign } from './format/numbers.ts';

export interface MoneyAndPlace {
  currency: string;
  currencyDigits: number;
  timeZone: string;
}

const MICRO = 1_000_000n;
/** A name in another script must not turn its neighbours round: first strong isolate, pop directional isolate (Unicode UAX #9). */
const isolated = (name: string): string => `\u2068${name}\u2069`;
const TWO_AT_MOST: Digits = { least: 0, most: 2 };

/** Everything that turns values of the contract into text, bound to one locale and one cooperative. */
function createFormats(locale: string, place: MoneyAndPlace) {
  const quantity = (value: string | Rational, digits: Digits = TWO_AT_MOST, sign: Sign = 'auto') =>
    formatQuantity(value, locale, digits, sign);
  return {
    locale,
    timeZone: place.timeZone,
    /** "6720" → €67.20 */
    money: (minor: string) => formatMoney(minor, locale, place),
    /** "-384" → −€3.84, "6980" → +€69.80 */
    signedMoney: (minor: string) => formatMoney(minor, locale, place, { sign: 'exceptZero' }),
    /** "-384" → €3.84: for "to pay" and "to receive", where the word says the direction. */
    absoluteMoney: (minor: string) => formatMoney(minor.replace('-', ''), locale, place),
    /** "6980" → 69.80, for columns whose head names the currency. */
    amount: (minor: string, sign: Sign = 'auto') => formatMoney(minor, locale, place, { sign, symbol: false }),
    currencySymbol: currencySymbol(locale, place.currency),
    /** An exact quantity, "1273/100" → 12.73 */
    quantity,
    /** A whole number or a count. */
    number: (value: number | bigint) => formatQuantity(String(value), locale, { least: 0, most: 6 }),
    /** Micro-portions, "12730000" → 12.73 */
    portions: (micro: string, digits: Digits = TWO_AT_MOST) =>
      quantity(rational.rational(BigInt(micro), MICRO), digits),
    absolutePortions: (micro: string, digits: Digits = TWO_AT_MOST) =>
      quantity(rational.rational(BigInt(micro.replace('-', '')), MICRO), digits),
    unit: (
      value: string | Rational,
      unit: Parameters<typeof formatUnit>[1],
      digits?: Digits,
      display?: 'short' | 'long',
    ) => formatUnit(value, unit, locale, digits, display),
    /** ISO date → "Sat 28 Nov" (or short, long, dated) */
    day: (isoDate: string, form: DayForm = 'day') => formatDay(isoDate, locale, form),
    dayParts: (isoDate: string) => dayParts(isoDate, locale),
    /** Instant → "20:00" in the cooperative's zone */
    time: (instant: string) => formatTime(instant, locale, place.timeZone),
    /** Instant → "Mon 30 Nov, 20:00" in the cooperative's zone */
    dayTime: (instant: string) => joinDayTime(instant, locale, place.timeZone),
    /** The same with the zone's name where the viewer's clock shows another: "Mon 30 Nov, 20:00 (Portugal Time)" */
    dayTimeZone: (instant: string) =>
      joinDayTime(instant, locale, place.timeZone) +
      (isForeignZone(place.timeZone) ? ` (${zoneName(locale, place.timeZone, instant)})` : ''),
    /** "09:00" in the locale's digits */
    clock: (clock: string) => formatClock(clock, locale),
    dateOf: (instant: string) => localDateOf(instant, place.timeZone),
    /** "a, b and c" */
    list: (items: readonly string[]) =>
      new Intl.ListFormat(locale, { type: 'conjunction' }).format(
        locale.startsWith('ar') ? items.map(isolated) : items,
      ),
    /** True where the zone must be named beside a time, since the viewer's clock shows another. */
    foreignZone: isForeignZone(place.timeZone),
  };
}

function joinDayTime(instant: string, locale: string, timeZone: string): string {
  const day = formatDay(localDateOf(instant, timeZone), locale, 'day');
  const separator = locale.startsWith('ar') ? '، ' : ', ';
  return day + separator + formatTime(instant, locale, timeZone);
}

export type Formats = ReturnType<typeof createFormats>;

const NO_COOPERATIVE: MoneyAndPlace = { currency: 'XXX', currencyDigits: 2, timeZone: 'UTC' };

export function useFormats(): Formats {
  const { locale } = useLocale();
  const { currency, currencyDigits, timeZone } = useCooperativeOrNull() ?? NO_COOPERATIVE;
  return useMemo(
    () => createFormats(locale, { currency, currencyDigits, timeZone }),
    [locale, currency, currencyDigits, timeZone],
  );
}
