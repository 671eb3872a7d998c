import { describe, expect, it } from '@jest/globals';
import { DomainError } from './domain-error.ts';
import type { Read } from './input.ts';
import {
  bool,
  date,
  distinctIds,
  id,
  integer,
  list,
  mapOf,
  minorUnits,
  oneOf,
  optional,
  rational,
  readInput,
  record,
} from './input.ts';
import { format, zero } from './rational.ts';

function refusal(read: Read<unknown>, input: unknown): DomainError {
  try {
    readInput(read, input);
  } catch (error) {
    if (error instanceof DomainError) return error;
    throw error;
  }
  throw new Error('Nothing was refused.');
}

const pointers = (read: Read<unknown>, input: unknown): string[] =>
  refusal(read, input).errors.map((error) => error.pointer);

describe('readInput', () => {
  const order = record({ id: id(), lines: list(record({ count: integer(1, 9), of: optional(rational()) })) });

  it('gives the typed value', () => {
    const value = readInput(order, { id: 'x', lines: [{ count: 2, of: '7/2' }] });
    expect(value.lines[0]?.count).toBe(2);
    expect(format(value.lines[0]?.of ?? zero)).toBe('7/2');
  });

  it('notes every fault at once, each with its place', () => {
    expect(pointers(order, { id: '', lines: [{ count: 0 }, { count: 1, of: '1/0' }, 7], extra: 1 }).sort()).toEqual([
      '#/extra',
      '#/id',
      '#/lines/0/count',
      '#/lines/1/of',
      '#/lines/2',
    ]);
    expect(pointers(order, undefined)).toEqual(['#']);
  });

  it('escapes and encodes keys in pointers as RFC 6901 says', () => {
    expect(pointers(mapOf(bool()), { 'a/b ~%é': 1 })).toEqual(['#/a~1b%20~0%25%C3%A9']);
    expect(pointers(mapOf(bool()), { '\ud800': true })).toEqual(['#/%EF%BF%BD']);
  });

  it('does not take a member from the prototype', () => {
    expect(pointers(record({ toString: id() }), {})).toEqual(['#/toString']);
    expect(pointers(record({ a: optional(id()) }), JSON.parse('{"__proto__": {"a": "x"}}'))).toEqual(['#/__proto__']);
    expect([...readInput(mapOf(bool()), JSON.parse('{"__proto__": true}')).keys()]).toEqual(['__proto__']);
  });

  it('tells at most a hundred faults', () => {
    expect(
      refusal(
        list(bool()),
        Array.from({ length: 5000 }, () => 0),
      ).errors,
    ).toHaveLength(100);
  });

  it('has the code of the faults where they all have one, else invalid-input', () => {
    const ids = distinctIds(list(record({ id: id() })), (member) => member.id);
    expect(refusal(ids, [{ id: 'a' }, { id: 'a' }])).toMatchObject({
      code: 'duplicate-id',
      errors: [{ pointer: '#/1/id', code: 'duplicate-id' }],
    });
    expect(refusal(ids, [{ id: '' }]).code).toBe('invalid-input');
  });
});

describe('the readers', () => {
  it.each<[string, Read<unknown>, unknown[]]>([
    ['ids', id(), ['', 'a\u0000', '\ud800', 'x'.repeat(121), 7, null]],
    ['whole numbers', integer(0, 10), [-1, 11, 1.5, '1', NaN, null, 2 ** 60]],
    ['exact numbers', rational({ moreThan: zero }), ['0', '-1', 'x', 0.5, '1e5', '1'.repeat(61), null, 2 ** 60]],
    ['minor units', minorUnits({ atLeast: 0n }), ['-1', '01', '-0', '1.5', '', 12, '1'.repeat(19)]],
    ['dates', date(), ['2026-02-29', '2026-13-01', '2026-00-10', '2026-1-1', '0000-01-01', '2026-01-01T00:00', '']],
    ['words', oneOf(['a', 'b']), ['c', '', null]],
    ['truth values', bool(), ['true', 1, null]],
    ['lists', list(bool(), { shortest: 1, longest: 2 }), [[], [true, true, true], {}, 'x']],
    ['records', mapOf(bool(), { longest: 1 }), [[], { a: true, b: true }, null, { '': true }]],
  ])('refuse wrong %s', (_name, read, wrong) => {
    for (const value of wrong) expect(refusal(read, value)).toMatchObject({ code: 'invalid-input' });
  });

  it('take what is right', () => {
    expect(readInput(minorUnits(), '-1250')).toBe(-1250n);
    expect(format(readInput(rational(), 3))).toBe('3');
    expect(readInput(date(), '2024-02-29')).toBe('2024-02-29');
    expect([...readInput(mapOf(bool()), { b: true, a: false })]).toEqual([
      ['a', false],
      ['b', true],
    ]);
  });
});
