import { rational, type Rational } from '@frostmoot/calc';

/** How many digits after the point, at least and at most; the value itself is exact until it is written. */
export interface Digits {
  least: number;
  most: number;
}

export type Sign = 'auto' | 'exceptZero' | 'never';

const cache = new Map<string, Intl.NumberFormat>();

function numberFormat(locale: string, options: Intl.NumberFormatOptions): Intl.NumberFormat {
  const key = locale + JSON.stringify(options);
  const found = cache.get(key) ?? new Intl.NumberFormat(locale, options);
  cache.set(key, found);
  return found;
}

/**
 * Writes a decimal text exactly, in the digits of the locale. The hyphen that stands for minus becomes U+2212; the marks around it that
 * keep a sign in its place in right-to-left text (U+061C, U+200E) stay, which is why the sign is never put there by hand.
 */
function write(decimal: string, locale: string, options: Intl.NumberFormatOptions): string {
  return numberFormat(locale, options)
    .formatToParts(decimal as Intl.StringNumericLiteral)
    .map((part) => (part.type === 'minusSign' ? part.value.replace('-', '\u2212') : part.value))
    .join('');
}

/** An exact quantity ("1273/100", "12.73", "3") as people read it. */
export function formatQuantity(value: string | Rational, locale: string, digits: Digits, sign: Sign = 'auto'): string {
  const exact = typeof value === 'string' ? rational.parse(value) : value;
  return write(rational.toDecimal(exact, digits.most), locale, {
    minimumFractionDigits: digits.least,
    maximumFractionDigits: digits.most,
    signDisplay: sign,
  });
}

/** A decimal as it stands in a field: in the locale's digits, but never grouped, since a typed "9,500" is read as nine and a half. */
export function formatTyped(decimal: string, locale: string, digits: Digits): string {
  const exact = rational.parse(decimal);
  return write(rational.toDecimal(exact, digits.most), locale, {
    minimumFractionDigits: digits.least,
    maximumFractionDigits: digits.most,
    useGrouping: false,
  });
}

/** Minor units ("6720") in the currency; its digits come from ISO 4217 through the cooperative, since Intl's own are wrong for some. */
export function formatMoney(
  minor: string,
  locale: string,
  money: { currency: string; currencyDigits: number },
  how: { sign?: Sign; symbol?: boolean } = {},
): string {
  const decimal = rational.toDecimal(
    rational.rational(BigInt(minor), 10n ** BigInt(money.currencyDigits)),
    money.currencyDigits,
  );
  const digits = {
    minimumFractionDigits: money.currencyDigits,
    maximumFractionDigits: money.currencyDigits,
    signDisplay: how.sign ?? ('auto' as const),
  };
  if (how.symbol === false) return write(decimal, locale, digits);
  return write(decimal, locale, {
    ...digits,
    style: 'currency',
    currency: money.currency,
    currencyDisplay: 'narrowSymbol',
  });
}

/** The sign by which the currency is written in this locale, "€". */
export function currencySymbol(locale: string, currency: string): string {
  const parts = numberFormat(locale, { style: 'currency', currency, currencyDisplay: 'narrowSymbol' }).formatToParts(0);
  return parts.find((part) => part.type === 'currency')?.value ?? currency;
}

/** A measure with its unit as the locale writes it: 2.5 kg, 35 litres (long). */
export function formatUnit(
  value: string | Rational,
  unit: 'kilogram' | 'gram' | 'liter' | 'milliliter' | 'celsius' | 'fahrenheit' | 'minute' | 'hour' | 'pound' | 'ounce',
  locale: string,
  digits: Digits = { least: 0, most: 2 },
  unitDisplay: 'short' | 'long' = 'short',
): string {
  const exact = typeof value === 'string' ? rational.parse(value) : value;
  return write(rational.toDecimal(exact, digits.most), locale, {
    style: 'unit',
    unit,
    unitDisplay,
    minimumFractionDigits: digits.least,
    maximumFractionDigits: digits.most,
  });
}
