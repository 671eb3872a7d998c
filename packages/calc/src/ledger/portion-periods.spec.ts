import { describe, expect, it } from '@jest/globals';
import { portionPeriods, type PortionMove } from './portion-periods.ts';

const move = (kind: PortionMove['kind'], amount: bigint, roundNumber: number | null, part?: string): PortionMove => ({
  kind,
  amount,
  roundNumber,
  ...(part === undefined ? {} : { part }),
});

describe('portions by rounds', () => {
  it('begins a line with every share-out and carries the balance from line to line', () => {
    const { periods, total } = portionPeriods([
      move('opening', 2n, null),
      move('share-out', 10n, 1, 'due'),
      move('share-out', -12n, 1, 'received'),
      move('swap', 4n, null, 'gave'),
      move('swap', -4n, null, 'got'),
      move('release', 3n, 1),
      move('share-out', 9n, 2, 'due'),
      move('share-out', -8n, 2, 'received'),
      // A container of round 1 that was still in the pool.
      move('claim', -3n, 1),
      move('loss', 4n, 2),
      move('adjustment', -5n, 2, 'moved-here'),
    ]);
    expect(periods).toEqual([
      { roundNumber: null, due: 0n, received: 0n, swapped: 0n, other: 2n, carried: 2n },
      { roundNumber: 1, due: 10n, received: 9n, swapped: 0n, other: 0n, carried: 3n },
      { roundNumber: 2, due: 9n, received: 16n, swapped: 0n, other: 4n, carried: 0n },
    ]);
    expect(total).toEqual({ roundNumber: null, due: 19n, received: 25n, swapped: 0n, other: 6n, carried: 0n });
  });

  it('is empty before anything was booked', () => {
    expect(portionPeriods([])).toEqual({
      periods: [],
      total: { roundNumber: null, due: 0n, received: 0n, swapped: 0n, other: 0n, carried: 0n },
    });
  });
});
