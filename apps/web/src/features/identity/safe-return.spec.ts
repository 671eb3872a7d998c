import { describe, expect, it } from '@jest/globals';
import { safeReturn } from './safe-return.ts';

describe('safeReturn', () => {
  it('keeps a page of this app with its search and anchor', () => {
    expect(safeReturn('/rounds/7/buy?line=3#list')).toBe('/rounds/7/buy?line=3#list');
  });

  it.each([
    undefined,
    '',
    'https://elsewhere.example/',
    '//elsewhere.example/',
    '/\\elsewhere.example/',
    '/\t/elsewhere.example',
    '/.//elsewhere.example',
    'javascript:alert(1)',
    '/sign-in?return=/x',
  ])('goes to the first page instead of %p', (wanted) => {
    expect(safeReturn(wanted)).toBe('/');
  });
});
