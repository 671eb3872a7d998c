import { invalidInput } from '../input.ts';
import { currencyDigits } from './currencies.ts';

/**
 * How many digits follow the decimal point in this currency.
 * Source: ISO 4217 minor units. `currency`: three capital letters. Throws `invalid-input` for a code that is not on the list.
 */
export function digitsOf(currency: string): number {
  const digits = currencyDigits.get(currency);
  if (digits === undefined) {
    throw invalidInput([{ pointer: '#/currency', detail: 'Must be a currency of ISO 4217, such as "EUR".' }]);
  }
  return digits;
}

/** How many minor units one whole unit of this currency has: 100 for two digits, 1 for none. Throws as digitsOf does. */
export const minorPerUnit = (currency: string): bigint => 10n ** BigInt(digitsOf(currency));

/**
 * The plain decimal text of an amount, with exactly the digits of its currency and a point: 1250 in EUR is `12.50`, in JPY `1250`.
 * For files and logs; the screens format by locale. Throws as digitsOf does.
 */
export function formatMinor(amountMinor: bigint, currency: string): string {
  const digits = digitsOf(currency);
  const text = (amountMinor < 0n ? -amountMinor : amountMinor).toString().padStart(digits + 1, '0');
  const point = text.length - digits;
  const decimals = digits > 0 ? `.${text.slice(point)}` : '';
  return `${amountMinor < 0n ? '-' : ''}${text.slice(0, point)}${decimals}`;
}

const decimalText = /^(-?)(\d{1,18})(?:\.(\d{1,4}))?$/;

/**
 * Minor units from plain decimal text, the inverse of formatMinor: `12.5` in EUR is 1250. Nothing is rounded.
 * `text`: digits with at most one point. Throws `invalid-input` for anything else, for more decimals than the currency has unless they
 * are zeros, and as digitsOf does.
 */
export function parseMinor(text: string, currency: string): bigint {
  const digits = digitsOf(currency);
  const match = decimalText.exec(text);
  const decimals = match?.[3] ?? '';
  if (!match || /[1-9]/.test(decimals.slice(digits))) {
    const example = formatMinor(1250n, currency);
    throw invalidInput([
      { pointer: '#/', detail: `Must be an amount such as "${example}" with at most ${digits} decimals.` },
    ]);
  }
  const amount = BigInt(`${match[2]}${decimals.slice(0, digits).padEnd(digits, '0')}`);
  return match[1] === '-' ? -amount : amount;
}
