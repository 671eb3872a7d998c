import { describe, expect, it } from '@jest/globals';
import { DomainError } from '../domain-error.ts';
import { format } from '../rational.ts';
import { explainPlanRound } from './explain-plan-round.ts';
import type { PlanRoundOutput } from './plan-round.ts';
import { planRound, planRoundOf } from './plan-round.ts';
import { readPlanRound } from './plan-round-input.ts';
import { verifyPlanRound } from './verify-plan-round.ts';

const mince = (quantity: string, unit = 'g') => [{ ingredient: 'mince', quantity, unit }];
/** Our own figures. */
const input = {
  seed: 'round 14',
  households: [
    { id: 'abara', portions: '8', variety: 2 },
    { id: 'dunmore', portions: '6', variety: 2, excludes: ['pastries'] },
  ],
  dishes: [
    { id: 'meatballs', portions: '8', container: '4', uses: mince('1200'), freezerMl: 6000 },
    { id: 'pastries', portions: '10', container: '5', uses: mince('0.5', 'kg'), freezerMl: 4000, atMost: 2 },
  ],
  atHand: [{ ingredient: 'mince', quantity: '4', unit: 'kg', pack: '1' }],
  kitchen: { freezerMl: 20_000 },
};

const refusal = (change: object): [string, (string | undefined)[]] => {
  try {
    planRound({ ...input, ...change });
  } catch (error) {
    if (error instanceof DomainError) return [error.code, error.errors.map(({ pointer }) => pointer)];
    throw error;
  }
  throw new Error('not refused');
};

describe('planRound', () => {
  it('uses up what is at hand as far as the freezer allows, and says what is left in packs', () => {
    const plan = planRound(input);
    // 2 x 1200 + 2 x 500 = 3400 in 20 L; 3 x 1200 = 3600 in 18 L; with a batch of pastries more it would be 22 L.
    expect(plan).toMatchObject({
      proof: 'optimal',
      batches: { meatballs: 3 },
      short: '0',
      left: { mince: { quantity: '2/5', packs: '0', opened: '2/5' } },
    });
  });

  it.each([
    [{ atHand: [{ ingredient: 'mince', quantity: '4', unit: 'bucketful' }] }, 'unknown-unit', ['#/atHand/0/unit']],
    [
      { atHand: [{ ingredient: 'mince', quantity: '4', unit: 'kg', pack: '3' }] },
      'invalid-input',
      ['#/atHand/0/quantity'],
    ],
    [
      { atHand: [{ ingredient: 'mince', quantity: '4', unit: 'each' }] },
      'units-incompatible',
      ['#/dishes/0/uses/0/unit', '#/dishes/1/uses/0/unit'],
    ],
    [
      { households: [{ id: 'a', portions: '1', excludes: ['nothing'] }] },
      'invalid-input',
      ['#/households/0/excludes/0'],
    ],
    [{ households: [{ id: 'a', portions: '-1' }] }, 'invalid-input', ['#/households/0/portions']],
    [
      {
        dishes: [
          { id: 'a', portions: '1' },
          { id: 'a', portions: '1' },
        ],
        households: [],
      },
      'duplicate-id',
      ['#/dishes/1/id'],
    ],
    [
      { dishes: [{ id: 'a', portions: '1', atLeast: 3, atMost: 2 }], households: [] },
      'invalid-input',
      ['#/dishes/0/atMost'],
    ],
    [
      { dishes: [{ id: 'a', portions: '1', atLeast: 3, freezerMl: 9000 }], households: [] },
      'invalid-input',
      ['#/dishes/0/atLeast'],
    ],
    [{ beyond: '0.1234567890123456789' }, 'too-large', ['#/households']],
  ])('refuses %j', (change, code, pointers) => {
    expect(refusal(change)).toEqual([code, pointers]);
  });

  it('plans nothing for nobody', () => {
    expect(planRound({ seed: 's', households: [], dishes: [] })).toMatchObject({
      proof: 'optimal',
      batches: {},
      portions: '0',
    });
  });
});

describe('verifyPlanRound', () => {
  const sound = planRound(input);
  it.each<[string, Partial<PlanRoundOutput>, string]>([
    ['another dish', { batches: { soup: 1, meatballs: 3 } }, 'unknown-dish'],
    ['half a batch', { batches: { meatballs: 2.5 } }, 'not-a-count'],
    ['more than the most', { batches: { pastries: 3 } }, 'batches-out-of-bounds'],
    ['more than the freezer takes', { batches: { meatballs: 3, pastries: 1 } }, 'limit-broken'],
    ['other portions', { portions: '25' }, 'portions-wrong'],
    ['somebody short', { short: '1' }, 'short-wrong'],
    ['somebody unwilling', { unwilling: '1' }, 'unwilling-wrong'],
    ['more variety', { varietyShort: 0 }, 'variety-wrong'],
    ['unmet wishes', { wishesUnmet: 1 }, 'wishes-wrong'],
    ['a cost', { cost: '5' }, 'cost-wrong'],
    ['less left', { left: { mince: { quantity: '0', packs: '0', opened: '0' } } }, 'left-wrong'],
    ['an unopened pack', { left: { mince: { quantity: '2/5', packs: '1', opened: '-3/5' } } }, 'left-wrong'],
    ['more dishes for a household', { fits: { ...sound.fits, dunmore: { portions: '24', dishes: 2 } } }, 'fits-wrong'],
    ['a bound', { bound: { aim: 'short', atLeast: '0' } }, 'bound-wrong'],
    ['a bound above the value', { proof: 'bounded', bound: { aim: 'short', atLeast: '1' } }, 'bound-wrong'],
    ['no proof that is known', { proof: 'certain' as PlanRoundOutput['proof'] }, 'proof-unknown'],
  ])('finds %s', (_what, change, code) => {
    expect(verifyPlanRound(input, sound)).toEqual([]);
    expect(verifyPlanRound(input, { ...sound, ...change }).map((violation) => violation.code)).toContain(code);
  });
});

describe('explainPlanRound', () => {
  it('says what would use up what is left and what stands against it, and why there is not more variety', () => {
    const read = readPlanRound(input);
    const { leftOver, fewerDishes, short } = explainPlanRound(planRoundOf(read), read);
    expect(
      leftOver[0]?.next.map(({ dish, takes, missing, obstacles }) => [
        dish,
        format(takes),
        format(missing),
        obstacles.map(({ limit, over }) => [limit, format(over)]),
      ]),
    ).toEqual([
      ['pastries', '1/2', '1/10', [['freezer', '2000']]],
      ['meatballs', '6/5', '4/5', [['freezer', '4000']]],
    ]);
    expect(fewerDishes).toEqual([
      { household: 'abara', wished: 2, planned: 1, reason: 'not-planned' },
      { household: 'dunmore', wished: 2, planned: 1, reason: 'may-eat-few' },
    ]);
    expect(short).toEqual([]);
  });
});
