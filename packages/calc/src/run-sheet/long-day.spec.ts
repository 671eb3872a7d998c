import { describe, expect, it } from '@jest/globals';
import { canonicalJson } from '../canonical.ts';
import { runSheet } from './run-sheet.ts';
import { verifyRunSheet } from './verify-run-sheet.ts';

/** Ten dishes, made up for this test: chop, then on a hob or in the oven, then another hob, then cooling. */
const steps = Array.from({ length: 10 }, (_, dish) => {
  const id = (step: number): string => `d${dish}.${step}`;
  return [
    { id: id(0), active: 15 + 5 * (dish % 3) },
    { id: id(1), active: 10, passive: 25 + 5 * (dish % 4), ...(dish % 2 ? { ovens: 1 } : { hobs: 1, potLitres: '8' }) },
    { id: id(2), active: 15, passive: 20 + 10 * (dish % 3), hobs: 1, potLitres: dish % 3 ? '4' : '9' },
    { id: id(3), active: 10, passive: 60 + 10 * (dish % 4) },
  ].map((step, index) => ({ ...step, after: index === 0 ? [] : [id(index - 1)] }));
}).flat();
const day = {
  people: 3,
  hobs: 4,
  ovens: 2,
  pots: ['12', '10', '9', '5'].map((litres, index) => ({ id: `p${index}`, litres })),
  steps,
};

describe('a long day', () => {
  it('of 40 steps passes the verifier and comes within half an hour of what no day can be shorter than', () => {
    const result = runSheet(day);
    expect(verifyRunSheet(day, result)).toEqual([]);
    // Hands alone: the active minutes of all steps, over three people, and the shortest passive time after the last.
    const hands = steps.reduce((sum, { active }) => sum + active, 0);
    expect(result.atLeast ?? result.minutes).toBeGreaterThanOrEqual(Math.ceil(hands / 3) + 60);
    expect(result.minutes - (result.atLeast ?? result.minutes)).toBeLessThanOrEqual(30);
    const turned = { ...day, pots: [...day.pots].reverse(), steps: [...steps].reverse() };
    expect(canonicalJson(runSheet(turned))).toBe(canonicalJson(result));
  });
});
