import { byCodeUnits } from './canonical.ts';
import { isCivilDate } from './dates/civil-date.ts';
import type { Instant } from './dates/instant.ts';
import { tryParseInstant } from './dates/instant.ts';
import type { InputFault } from './domain-error.ts';
import { DomainError, domainErrorCodes } from './domain-error.ts';
import type { Rational } from './rational.ts';
import { cmp, format, longestNumberText, rational as fraction, tryParse } from './rational.ts';

/** What a reader gives when it has noted a fault: the rest of the input is still read, so that every fault is told at once. */
export const invalid: unique symbol = Symbol('invalid');
export type Invalid = typeof invalid;

/** Where a reader stands in the input, and the one list of faults that all readers of this input share. */
export class Place {
  readonly pointer: string;
  readonly faults: InputFault[];

  constructor(pointer: string, faults: InputFault[]) {
    this.pointer = pointer;
    this.faults = faults;
  }

  /** A member's place. As a fragment (RFC 6901 section 6) a key is escaped and percent-encoded; a hostile one is cut short. */
  at(key: string | number): Place {
    const token = String(key).slice(0, 120).replaceAll('~', '~0').replaceAll('/', '~1');
    return new Place(`${this.pointer}/${encodeURIComponent(token.replaceAll(/\p{Cs}/gu, '\ufffd'))}`, this.faults);
  }

  fault(detail: string, code?: string): Invalid {
    // Beyond a hundred faults nobody reads on, and the answer must not grow with a hostile input.
    if (this.faults.length < 100) {
      this.faults.push({ pointer: this.pointer, detail, ...(code ? { code } : {}) });
    }
    return invalid;
  }
}

/** Turns one unknown value into a typed one, or notes what is wrong with it. */
export type Read<T> = (value: unknown, place: Place) => T | Invalid;

/** The typed value of a reader. */
export type Of<R> = R extends Read<infer T> ? T : never;

/** Reads a whole input. Throws a DomainError with every fault and its JSON pointer (`invalidInput` says with which code). */
export function readInput<T>(read: Read<T>, input: unknown): T {
  const faults: InputFault[] = [];
  const value = read(input, new Place('#', faults));
  if (value === invalid || faults.length > 0) throw invalidInput(faults);
  return value;
}

/**
 * The error for noted faults. Its code is the faults' own code where they all have the same one (such as `unknown-unit`), else `invalid-input`.
 */
export function invalidInput(errors: readonly InputFault[]): DomainError {
  const first = errors[0];
  const more = errors.length > 1 ? ` (and ${errors.length - 1} more)` : '';
  const shared = errors.every((error) => error.code === first?.code)
    ? domainErrorCodes.find((code) => code === first?.code)
    : undefined;
  const message = first ? `${first.pointer}: ${first.detail}${more}` : 'The input is not valid.';
  return new DomainError(shared ?? 'invalid-input', message, { errors });
}

// Control characters and lone halves of a surrogate pair cannot be shown, and some stores refuse them.
const unprintable = /[\p{Cc}\p{Cs}]/u;

/** Text of 1 to `longest` characters without control characters; an id or a name. */
export function text(longest = 120): Read<string> {
  return (value, place) => {
    if (typeof value !== 'string') return place.fault('Must be text.');
    if (value.length === 0 || value.length > longest) return place.fault(`Must have 1 to ${longest} characters.`);
    if (unprintable.test(value)) return place.fault('Must not contain control characters.');
    return value;
  };
}

/** An id: text of 1 to 120 characters. */
export const id = (): Read<string> => text();

/** A JSON integer between the bounds. */
export function integer(least: number, greatest: number): Read<number> {
  return (value, place) =>
    typeof value === 'number' && Number.isSafeInteger(value) && value >= least && value <= greatest
      ? value
      : place.fault(`Must be a whole number from ${least} to ${greatest}.`);
}

export interface RationalBounds {
  atLeast?: Rational;
  moreThan?: Rational;
  atMost?: Rational;
}

/** An exact number: `"7/2"`, a decimal as text or a JSON integer; a JSON number with a fraction is refused because it is not exact. */
export function rational(bounds: RationalBounds = {}): Read<Rational> {
  return (value, place) => {
    const parsed =
      typeof value === 'string'
        ? tryParse(value)
        : typeof value === 'number' && Number.isSafeInteger(value)
          ? fraction(BigInt(value))
          : undefined;
    if (!parsed) {
      return place.fault(
        `Must be a number written as text, such as "7/2" or "0.61", of at most ${longestNumberText} characters.`,
      );
    }
    const { atLeast, moreThan, atMost } = bounds;
    if (atLeast && cmp(parsed, atLeast) < 0) return place.fault(`Must be at least ${format(atLeast)}.`);
    if (moreThan && cmp(parsed, moreThan) <= 0) return place.fault(`Must be more than ${format(moreThan)}.`);
    if (atMost && cmp(parsed, atMost) > 0) return place.fault(`Must be at most ${format(atMost)}.`);
    return parsed;
  };
}

/** An exact number above nil. */
export const positive = (): Read<Rational> => rational({ moreThan: fraction(0n) });

/** An exact number that is not below nil. */
export const notNegative = (): Read<Rational> => rational({ atLeast: fraction(0n) });

const minorText = /^(0|-?[1-9]\d{0,17})$/;

/** Money: a string of integer minor units such as `"1250"`, at most 18 digits. */
export function minorUnits(bounds: { atLeast?: bigint } = {}): Read<bigint> {
  return (value, place) => {
    if (typeof value !== 'string' || !minorText.test(value)) {
      return place.fault('Must be whole minor units written as text, such as "1250", of at most 18 digits.');
    }
    const amount = BigInt(value);
    if (bounds.atLeast !== undefined && amount < bounds.atLeast)
      return place.fault(`Must be at least ${bounds.atLeast}.`);
    return amount;
  };
}

/** An ISO 8601 calendar date, `2026-02-28`. */
export const date = (): Read<string> => (value, place) =>
  typeof value === 'string' && isCivilDate(value)
    ? value
    : place.fault('Must be a calendar date such as "2026-02-28" that exists.');

/** An ISO 8601 instant in UTC, `2026-11-28T09:00:00Z`, as whole milliseconds since 1970. */
export const instant = (): Read<Instant> => (value, place) => {
  const read = typeof value === 'string' ? tryParseInstant(value) : undefined;
  return read ?? place.fault('Must be an instant in UTC such as "2026-11-28T09:00:00Z" that exists.');
};

/** True or false. */
export const bool = (): Read<boolean> => (value, place) =>
  typeof value === 'boolean' ? value : place.fault('Must be true or false.');

/** One of these words. */
export function oneOf<const W extends string>(words: readonly W[]): Read<W> {
  return (value, place) => words.find((word) => word === value) ?? place.fault(`Must be one of: ${words.join(', ')}.`);
}

/** A list of at most `longest` members. */
export function list<T>(read: Read<T>, bounds: { shortest?: number; longest?: number } = {}): Read<T[]> {
  const { shortest = 0, longest = 10_000 } = bounds;
  return (value, place) => {
    if (!Array.isArray(value)) return place.fault('Must be a list.');
    if (value.length < shortest) return place.fault(`Must have at least ${shortest} members.`);
    if (value.length > longest) return place.fault(`Must have at most ${longest} members.`);
    const members = value.map((member, index) => read(member, place.at(index)));
    return members.some((member) => member === invalid) ? invalid : (members as T[]);
  };
}

const isObject = (value: unknown): value is Record<string, unknown> =>
  typeof value === 'object' && value !== null && !Array.isArray(value);

/** A record whose keys are ids, as a map sorted by key, so that the order in which it was written cannot matter. */
export function mapOf<T>(read: Read<T>, bounds: { longest?: number } = {}): Read<Map<string, T>> {
  const { longest = 10_000 } = bounds;
  const readKey = id();
  return (value, place) => {
    if (!isObject(value)) return place.fault('Must be a record.');
    const keys = Object.keys(value).sort(byCodeUnits);
    if (keys.length > longest) return place.fault(`Must have at most ${longest} members.`);
    const result = new Map<string, T>();
    let sound = true;
    for (const key of keys) {
      const member = read(value[key], place.at(key));
      if (member === invalid || readKey(key, place.at(key)) === invalid) sound = false;
      else result.set(key, member);
    }
    return sound ? result : invalid;
  };
}

/** A member that may be left out. */
export function optional<T>(read: Read<T>): Read<T | undefined> {
  return (value, place) => (value === undefined ? undefined : read(value, place));
}

type Shape = Record<string, Read<unknown>>;
type RecordOf<S extends Shape> = { [K in keyof S]: Of<S[K]> };

/** A record with exactly these members; an unknown one is refused, because it is most often a misspelt known one. */
export function record<S extends Shape>(shape: S): Read<RecordOf<S>> {
  return (value, place) => {
    if (!isObject(value)) return place.fault('Must be a record.');
    let sound = true;
    for (const key of Object.keys(value)) {
      if (Object.hasOwn(shape, key)) continue;
      place.at(key).fault(`Is not known here; known are: ${Object.keys(shape).join(', ')}.`);
      sound = false;
    }
    const result: Record<string, unknown> = {};
    for (const [key, read] of Object.entries(shape)) {
      const given = Object.hasOwn(value, key) ? value[key] : undefined;
      const member = read(given, place.at(key));
      if (member === invalid) sound = false;
      else result[key] = member;
    }
    return sound ? (result as RecordOf<S>) : invalid;
  };
}

/** Goes on from what was read to what it means, or to a fault that only the whole record shows. */
export function refine<T, U>(read: Read<T>, further: (value: T, place: Place) => U | Invalid): Read<U> {
  return (value, place) => {
    const first = read(value, place);
    return first === invalid ? invalid : further(first, place);
  };
}

/** Notes every id that a list gives twice, at the place of the second one. */
export function distinctIds<T>(read: Read<T[]>, idOf: (member: T) => string, key = 'id'): Read<T[]> {
  return (value, place) => {
    const members = read(value, place);
    if (members === invalid) return invalid;
    const seen = new Set<string>();
    let sound = true;
    members.forEach((member, index) => {
      const memberId = idOf(member);
      if (seen.has(memberId)) {
        place.at(index).at(key).fault(`"${memberId}" is given twice.`, 'duplicate-id');
        sound = false;
      }
      seen.add(memberId);
    });
    return sound ? members : invalid;
  };
}
