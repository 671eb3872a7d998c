import { describe, expect, it } from '@jest/globals';
import { againstPlan, containersOf, nextBatch, portionsOf, rowsOf, sentContainers, type Batch } from './yield-draft.ts';

const plan = [
  { portions: 2, count: 7, millilitres: 850 },
  { portions: 4, count: 1, millilitres: 1650 },
];

describe('what came out of a batch', () => {
  it('begins as planned', () => {
    const rows = rowsOf({ containers: [], containerPlan: plan });
    expect([portionsOf(rows), containersOf(rows)]).toEqual([18, 8]);
  });

  it('begins with what was entered before, in containers of the planned size', () => {
    expect(
      rowsOf({
        containers: [
          { portions: 2, count: 5 },
          { portions: 3, count: 1 },
        ],
        containerPlan: plan,
      }),
    ).toEqual([
      { portions: 2, count: 5, millilitres: 850 },
      { portions: 3, count: 1, millilitres: null },
    ]);
  });

  it('says how it stands to the plan', () => {
    expect(againstPlan(16, 18)).toEqual({ kind: 'short', by: 2 });
    expect(againstPlan(18, 18)).toEqual({ kind: 'even', by: 0 });
    expect(againstPlan(20, 18)).toEqual({ kind: 'over', by: 2 });
  });

  it('leaves out sizes of which there are none', () => {
    expect(
      sentContainers([
        { portions: 2, count: 0, millilitres: 850 },
        { portions: 4, count: 1, millilitres: null },
      ]),
    ).toEqual([{ portions: 4, count: 1, millilitres: null }]);
  });
});

describe('the next batch', () => {
  const batch = (id: string, state: Batch['state']) => ({ id, state }) as Batch;
  const batches = [batch('a', 'made'), batch('b', 'planned'), batch('c', 'planned'), batch('d', 'thrown-away')];

  it('is the first that is not made', () => {
    expect(nextBatch(batches)?.id).toBe('b');
  });

  it('is the one after, and from the end the first that is left', () => {
    expect(nextBatch(batches, 'b')?.id).toBe('c');
    expect(nextBatch(batches, 'c')?.id).toBe('b');
  });

  it('is none when all are done', () => {
    expect(nextBatch([batch('a', 'made'), batch('b', 'planned')], 'b')).toBeUndefined();
  });
});
