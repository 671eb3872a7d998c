import { describe, expect, it } from '@jest/globals';
import { onceInSight } from './once.ts';

describe('a label before the camera', () => {
  it('is told once for as long as it stays in sight, however long that is', () => {
    const isNew = onceInSight();
    const told = Array.from({ length: 100 }, (_, look) => isNew('R3-A1-1', 1000 + look * 120));
    expect(told.filter(Boolean)).toHaveLength(1);
    expect(told[0]).toBe(true);
  });
  it('is told again when it was away, and when another came between', () => {
    const isNew = onceInSight();
    expect([isNew('a', 0), isNew('a', 1500), isNew('a', 3001), isNew('b', 3100), isNew('a', 3200)]).toEqual([
      true,
      false,
      true,
      true,
      true,
    ]);
  });
});
