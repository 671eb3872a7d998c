const DIGIT_ZEROS = ['\u0660', '\u06F0']; // Arabic-Indic and Eastern Arabic-Indic digits
const GROUPING = /[\s\u00A0\u202F'\u2019\u066C]/g; // spaces, apostrophes and the Arabic thousands separator

function toLatinDigits(text: string): string {
  return [...text]
    .map((character) => {
      const code = character.charCodeAt(0);
      const zero = DIGIT_ZEROS.map((digit) => digit.charCodeAt(0)).find((start) => code >= start && code <= start + 9);
      return zero === undefined ? character : String(code - zero);
    })
    .join('');
}

/** Which of "," and "." splits off the decimals: the only one there is, or the last where both occur ("1.250,50"). */
function withPoint(text: string): string {
  const comma = text.lastIndexOf(',');
  const point = text.lastIndexOf('.');
  if (comma >= 0 && point >= 0) {
    const decimal = comma > point ? ',' : '.';
    return text.replaceAll(decimal === ',' ? '.' : ',', '').replace(decimal, '.');
  }
  return text.replace(',', '.');
}

/**
 * Reads a number as people type it: comma or point, Arabic digits, spaces between groups, a leading minus. Gives the plain decimal text
 * ("4.36") that the contract takes, or null where it is not one number. One separator is always read as the decimal one: "1,250" is 1.25,
 * which the field then shows, so that nothing is a thousand times too large unseen.
 */
export function readDecimal(typed: string): string | null {
  const text = toLatinDigits(typed)
    .replace(/[\u061C\u200E\u200F\u2066-\u2069]/g, '')
    .replace(/\u066B/g, ',')
    .replace(GROUPING, '')
    .replace('\u2212', '-');
  const plain = withPoint(text);
  if (!/^-?(\d+\.?\d*|\.\d+)$/.test(plain)) return null;
  const [whole = '', decimals = ''] = plain.replace('-', '').split('.');
  const digits = `${whole.replace(/^0+(?=\d)/, '') || '0'}${decimals ? `.${decimals}` : ''}`;
  return plain.startsWith('-') && /[1-9]/.test(digits) ? `-${digits}` : digits;
}

/** "27.9" in minor units of a currency with two digits: "2790"; null where it has more decimals than the currency. */
export function decimalToMinor(decimal: string, currencyDigits: number): string | null {
  const negative = decimal.startsWith('-');
  const [whole = '0', decimals = ''] = decimal.replace('-', '').split('.');
  const kept = decimals.slice(0, currencyDigits).padEnd(currencyDigits, '0');
  if (/[1-9]/.test(decimals.slice(currencyDigits))) return null;
  const minor = BigInt(whole + kept);
  return String(negative ? -minor : minor);
}

/** The plain decimal text of minor units, for a field to begin with: "2790" is "27.90". */
export function minorToDecimal(minor: string, currencyDigits: number): string {
  if (currencyDigits === 0) return minor;
  const negative = minor.startsWith('-');
  const digits = minor.replace('-', '').padStart(currencyDigits + 1, '0');
  return `${negative ? '-' : ''}${digits.slice(0, -currencyDigits)}.${digits.slice(-currencyDigits)}`;
}
