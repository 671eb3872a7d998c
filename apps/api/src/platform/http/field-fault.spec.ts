import { describe, expect, it } from '@jest/globals';
import { z } from 'zod';
import { type DomainError } from '@frostmoot/calc';
import { InputPipe } from './validation.ts';

const person = z.strictObject({
  name: z.string().trim().min(1).max(5),
  secret: z.string().min(12).optional(),
  heads: z.int().min(1).max(40).optional(),
  born: z.iso.date().optional(),
  mail: z.email().optional(),
  look: z.enum(['light', 'dark']).optional(),
  dishes: z.array(z.string()).min(1).max(2).optional(),
});

async function faultsOf(body: unknown) {
  try {
    await new InputPipe().transform(body, { type: 'body', schema: person } as never);
  } catch (error) {
    return (error as DomainError).errors.map(({ pointer, code, params }) => ({ pointer, code, params }));
  }
  return [];
}

describe('why a field is refused', () => {
  it.each([
    [{}, '#/name', 'missing', undefined],
    [{ name: '  ' }, '#/name', 'missing', undefined],
    [{ name: 'abcdef' }, '#/name', 'too-long', { most: 5 }],
    [{ name: 3 }, '#/name', 'not-readable', undefined],
    [{ name: 'Bo', secret: 'short' }, '#/secret', 'too-short', { least: 12 }],
    [{ name: 'Bo', heads: 0 }, '#/heads', 'too-low', { least: 1 }],
    [{ name: 'Bo', heads: 41 }, '#/heads', 'too-high', { most: 40 }],
    [{ name: 'Bo', heads: 1.5 }, '#/heads', 'not-readable', undefined],
    [{ name: 'Bo', born: '2026-02-30' }, '#/born', 'not-a-date', undefined],
    [{ name: 'Bo', mail: 'bo' }, '#/mail', 'not-an-email', undefined],
    [{ name: 'Bo', look: 'pink' }, '#/look', 'not-a-choice', undefined],
    [{ name: 'Bo', dishes: [] }, '#/dishes', 'too-few', { least: 1 }],
    [{ name: 'Bo', dishes: ['a', 'b', 'c'] }, '#/dishes', 'too-many', { most: 2 }],
    [{ name: 'Bo', age: 3 }, '#', 'unknown-field', undefined],
    [{ name: 'a\0b' }, '#/name', 'not-readable', undefined],
  ])('%j', async (body, pointer, code, params) => {
    expect(await faultsOf(body)).toEqual([{ pointer, code, params }]);
  });
});
