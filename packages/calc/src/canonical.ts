/** What a result may be made of: text, whole numbers, truth values, lists and records; no float, no bigint. */
export type JsonValue =
  string | number | boolean | null | readonly JsonValue[] | { readonly [key: string]: JsonValue | undefined };

/** Smaller code units first, as RFC 8785 section 3.2.3 sorts names: the same on every machine, whatever its locale. */
export const byCodeUnits = (a: string, b: string): number => (a < b ? -1 : a > b ? 1 : 0);

/** The record of a map, its keys sorted; undefined values are left out when it is written. */
export function sortedRecord<T>(entries: Iterable<readonly [string, T]>): Record<string, T> {
  return Object.fromEntries([...entries].sort(([a], [b]) => byCodeUnits(a, b)));
}

/**
 * The one JSON text of a value: no white space, keys sorted by UTF-16 code units (the rules of RFC 8785 for the values allowed here).
 * Source: RFC 8785 section 3.2. Throws TypeError for a float, a bigint or anything else that a result must not contain.
 */
export function canonicalJson(value: unknown): string {
  if (value === null || typeof value === 'boolean' || typeof value === 'string') return JSON.stringify(value);
  if (typeof value === 'number') {
    if (!Number.isSafeInteger(value)) throw new TypeError(`A result contains ${value}, which is not a whole number.`);
    return JSON.stringify(value);
  }
  if (Array.isArray(value)) return `[${value.map(canonicalJson).join(',')}]`;
  if (typeof value !== 'object') throw new TypeError(`A result contains a ${typeof value}.`);
  const members = Object.entries(value)
    .filter(([, member]) => member !== undefined)
    .sort(([a], [b]) => byCodeUnits(a, b))
    .map(([key, member]) => `${JSON.stringify(key)}:${canonicalJson(member)}`);
  return `{${members.join(',')}}`;
}
