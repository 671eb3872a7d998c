import { describe, expect, it } from '@jest/globals';
import { sealedContainers } from './sealed-containers.ts';

describe('containers of a batch', () => {
  const group = (portions: number, count: number, millilitres: number | null = null) => ({
    portions,
    count,
    millilitres,
  });

  it('are numbered in the order typed, and sum to the batch', () => {
    expect(sealedContainers([group(4, 2, 900), group(3, 1)], [])).toEqual({
      containers: [
        { number: 1, portions: 4, millilitres: 900 },
        { number: 2, portions: 4, millilitres: 900 },
        { number: 3, portions: 3, millilitres: null },
      ],
      portions: 11,
    });
    expect(sealedContainers([], [])).toEqual({ containers: [], portions: 0 });
  });

  it('leave those that have ended as they are, with their numbers', () => {
    const { containers, portions } = sealedContainers([group(4, 3), group(2, 1)], [{ number: 2, portions: 4 }]);
    expect(portions).toBe(14);
    expect(containers.map(({ number, portions: size }) => [number, size])).toEqual([
      [1, 4],
      [3, 4],
      [4, 2],
    ]);
  });

  it('are refused where one that has ended is not among them', () => {
    const two = [
      { number: 1, portions: 4 },
      { number: 2, portions: 4 },
    ];
    expect(() => sealedContainers([group(4, 1), group(2, 5)], two)).toThrow(
      expect.objectContaining({
        code: 'invalid-input',
        errors: [expect.objectContaining({ pointer: '#/containers' })],
      }),
    );
  });
});
