import { describe, expect, it } from '@jest/globals';
import { requireStaying } from './staying.ts';

describe('what is only for households that are there', () => {
  it.each([
    [null, true],
    ['2026-12-02', true],
    ['2026-12-01', false],
    ['2026-11-30', false],
  ])('is for one that left on %s: %s', (leftOn, may) => {
    const ask = () => requireStaying({ name: 'Cedar', leftOn }, '2026-12-01', '#/householdId');
    if (may) expect(ask).not.toThrow();
    else
      expect(ask).toThrow(
        expect.objectContaining({
          code: 'household-left',
          params: { household: 'Cedar' },
          errors: [{ pointer: '#/householdId', detail: 'Cedar has left the cooperative.' }],
        }),
      );
  });
});
