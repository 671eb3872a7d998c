import { describe, expect, it } from '@jest/globals';
import { checkSlots, mayHandOver, requireReleasable, requireTaker } from './collecting.ts';

// All of it common practice among people who know each other, no source; decided in ADR 64.
describe('at the door', () => {
  const owner = { householdId: 'owner', delegateId: 'neighbour' };
  const at = (householdId: string, isCoordinator = false) => ({ householdId, isCoordinator, kitchens: ['kitchen'] });

  it.each([
    ['owner', false, true],
    ['neighbour', false, true],
    ['kitchen', false, true],
    ['anybody', true, true],
    ['anybody', false, false],
  ])('%s (coordinator: %s) may tick: %s', (household, isCoordinator, may) => {
    expect(mayHandOver(at(household, isCoordinator), owner)).toBe(may);
  });

  it('hands over to the household or whoever it sends, and to nobody else', () => {
    expect(() => requireTaker('owner', owner)).not.toThrow();
    expect(() => requireTaker('neighbour', owner)).not.toThrow();
    expect(() => requireTaker('kitchen', owner)).toThrow(expect.objectContaining({ code: 'forbidden' }));
    expect(() => requireTaker('neighbour', { ...owner, delegateId: null })).toThrow();
  });
});

describe('the times of a collection', () => {
  it('end after they begin, and begin before the deadline', () => {
    expect(() => checkSlots([{ startsAt: 1, endsAt: 2 }], 1)).not.toThrow();
    expect(() => checkSlots([], 0)).not.toThrow();
    const bad = () =>
      checkSlots(
        [
          { startsAt: 2, endsAt: 2 },
          { startsAt: 5, endsAt: 6 },
        ],
        4,
      );
    const errors = [{ pointer: '#/slots/0/endsAt' }, { pointer: '#/slots/1/startsAt' }];
    expect(bad).toThrow(expect.objectContaining({ errors: errors.map((each) => expect.objectContaining(each)) }));
  });

  it('decide when what is left may go back to the pool', () => {
    const late = { collectBy: 10, afterDeadline: 'release' as const };
    expect(() => requireReleasable(late, 11)).not.toThrow();
    expect(() => requireReleasable(late, 10)).toThrow(expect.objectContaining({ params: { why: 'deadline' } }));
    expect(() => requireReleasable({ ...late, afterDeadline: 'keep' }, 11)).toThrow(
      expect.objectContaining({ params: { why: 'kept' } }),
    );
  });
});
