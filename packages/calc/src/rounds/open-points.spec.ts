import { describe, expect, it } from '@jest/globals';
import { parse } from '../rational.ts';
import type { RoundState } from './open-points.ts';
import { openPoints } from './open-points.ts';

const dish = (name: string, portionsPerBatch: number, more: Partial<RoundState['dishes'][number]> = {}) => ({
  id: `dish ${name}`,
  recipeId: `recipe ${name}`,
  name,
  batches: 1,
  portionsPerBatch,
  unfitFor: [],
  batchMoreMinor: null,
  ...more,
});

const sound: RoundState = {
  stage: 'planning',
  dishes: [dish('soup', 20)],
  portionsWanted: parse('20'),
  participants: [{ householdId: 'a', name: 'Alder', weight: '2', mustNot: ['milk'] }],
  withoutOffer: [],
  freezerNeededMl: 1000,
  freezerFreeMl: 1000,
  cookDays: 1,
  receipts: 1,
  openBatches: [],
  shareOutConfirmed: true,
  openSwaps: 0,
  pool: { containers: 0, portions: 0 },
};
const points = (change: Partial<RoundState>) => openPoints({ ...sound, ...change });
const codes = (change: Partial<RoundState>): string[] =>
  points(change).map(({ code, blocks }) => (blocks ? `${code}!` : code));

describe('what does not add up in a round', () => {
  it.each(['planning', 'buying', 'cooking', 'sharing', 'settled'] as const)(
    'is nothing in a sound one that is %s',
    (stage) => {
      expect(points({ stage })).toEqual([]);
    },
  );

  it('is the want of a dish, and then nothing about portions', () => {
    expect(points({ dishes: [] })).toEqual([{ code: 'no-dish', blocks: true, facts: { wanted: '20' }, remedy: null }]);
  });

  it('names the batch that closes the gap at the least cost', () => {
    const dishes = [
      dish('dear', 8, { batchMoreMinor: 900n }),
      dish('cheap', 6, { batchMoreMinor: 300n }),
      dish('small', 4, { batchMoreMinor: 10n }),
    ];
    const [short] = points({ dishes, portionsWanted: parse('47/2') });
    expect(short).toEqual({
      code: 'portions-short',
      blocks: false,
      facts: { wanted: '47/2', planned: 18, short: '11/2' },
      remedy: {
        kind: 'add-batch',
        facts: {
          dishId: 'dish cheap',
          recipeId: 'recipe cheap',
          dish: 'cheap',
          batches: 1,
          portions: 6,
          costMinor: '300',
        },
      },
    });
    const [far] = points({ dishes, portionsWanted: parse('90') });
    expect(far?.remedy?.facts['dish']).toBe('dear');
    const unpriced = dishes.map((each) => ({ ...each, batchMoreMinor: null }));
    expect(points({ dishes: unpriced, portionsWanted: parse('22') })[0]?.remedy?.facts).toEqual({
      dishId: 'dish cheap',
      recipeId: 'recipe cheap',
      dish: 'cheap',
      batches: 1,
      portions: 6,
    });
    expect(points({ dishes, portionsWanted: parse('22'), stage: 'buying' })[0]?.remedy).toBeNull();
  });

  it('is a household that nothing suits, unless it has left', () => {
    const dishes = [dish('soup', 20, { unfitFor: ['milk'] })];
    expect(points({ dishes })).toEqual([
      { code: 'nothing-fit', blocks: false, facts: { householdId: 'a', household: 'Alder' }, remedy: null },
    ]);
    const left = [{ householdId: 'a', name: 'Alder', weight: '0', mustNot: ['milk'] }];
    expect(points({ dishes, participants: left })).toEqual([]);
  });

  it('is an ingredient without an offer while planning', () => {
    const withoutOffer = [{ ingredientId: 'i', name: 'Saffron', needed: parse('5/2'), unit: 'g' }];
    expect(points({ withoutOffer })).toEqual([
      {
        code: 'no-offer',
        blocks: true,
        facts: { ingredientId: 'i', ingredient: 'Saffron', needed: '5/2', unit: 'g' },
        remedy: { kind: 'add-offer', facts: { ingredientId: 'i' } },
      },
    ]);
    expect(codes({ withoutOffer, stage: 'buying' })).toEqual([]);
  });

  it('is freezers that are too small, where everybody’s is known', () => {
    expect(points({ freezerFreeMl: 400 })).toEqual([
      { code: 'freezer-short', blocks: false, facts: { neededMl: 1000, freeMl: 400, shortMl: 600 }, remedy: null },
    ]);
    expect(codes({ freezerFreeMl: null })).toEqual([]);
  });

  it.each([
    ['planning', { cookDays: 0 }, ['no-kitchen']],
    ['planning', { receipts: 0, openSwaps: 1, shareOutConfirmed: false }, []],
    ['buying', { receipts: 0 }, ['no-receipt!']],
    ['cooking', { openBatches: [{ id: 'b', lotCode: 'R1-A1', name: 'soup' }] }, ['yield-missing!']],
    ['sharing', { shareOutConfirmed: false, pool: { containers: 5, portions: 20 } }, ['share-out-missing!']],
    ['sharing', { shareOutConfirmed: false, pool: { containers: 0, portions: 0 } }, []],
    [
      'sharing',
      {
        shareOutConfirmed: false,
        pool: { containers: 0, portions: 0 },
        openBatches: [{ id: 'b', lotCode: 'R1-A1', name: 'soup' }],
      },
      ['yield-missing!', 'share-out-missing!'],
    ],
    ['sharing', { openSwaps: 2, pool: { containers: 1, portions: 4 } }, ['swap-open!', 'pool-left']],
    ['sharing', { receipts: 0, cookDays: 0, freezerFreeMl: 0 }, ['no-receipt!']],
    ['settled', { receipts: 0, openSwaps: 2, dishes: [] }, []],
  ] as const)('blocks a round that is %s by %j: %j', (stage, change, expected) => {
    expect(codes({ stage, ...change })).toEqual(expected);
  });
});
