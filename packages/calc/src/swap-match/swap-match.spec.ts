import { describe, expect, it } from '@jest/globals';
import { DomainError } from '../domain-error.ts';
import { explainSwapMatch } from './explain-swap-match.ts';
import { readSwapMatch } from './swap-input.ts';
import { matchSwaps, swapMatch } from './swap-match.ts';

const offer = (id: string, household: string, dish: string, more: object = {}) => ({
  id,
  household,
  dish,
  containers: 1,
  portions: '4',
  bestBefore: '2027-01-01',
  ...more,
});
const want = (id: string, household: string, dish: string, more: object = {}) => ({
  id,
  household,
  dish,
  containers: 1,
  score: 0,
  ...more,
});

/** Three households, each of which has what the next would like. */
const three = {
  seed: 's',
  offers: [offer('o1', 'elm', 'soup'), offer('o2', 'fir', 'pie'), offer('o3', 'oak', 'stew')],
  wants: [want('w1', 'fir', 'soup'), want('w2', 'oak', 'pie'), want('w3', 'elm', 'stew')],
  creditPortions: '0',
};

describe('swap-match', () => {
  it('finds a ring of three where no two can swap', () => {
    const result = swapMatch(three);
    expect(result).toEqual({
      proof: 'optimal',
      moves: [
        { offer: 'o1', want: 'w1', containers: 1 },
        { offer: 'o2', want: 'w2', containers: 1 },
        { offer: 'o3', want: 'w3', containers: 1 },
      ],
      rings: [['elm', 'fir', 'oak']],
      balance: { elm: '0', fir: '0', oak: '0' },
    });
    expect(swapMatch({ ...three, ringLimit: 3 })).toEqual(result);
    expect(swapMatch({ ...three, ringLimit: 2 })).toMatchObject({
      proof: 'bounded',
      moves: [],
      rings: [],
      atMost: '12',
    });
  });

  it('gives on credit up to the limit, and says who owes whom', () => {
    const input = { ...three, wants: three.wants.slice(0, 2), creditPortions: '4' };
    const result = swapMatch(input);
    expect(result.balance).toEqual({ elm: '4', fir: '0', oak: '-4' });
    expect(result.rings).toEqual([]);
    expect(swapMatch({ ...input, creditPortions: '7/2' }).moves).toEqual([]);
  });

  it('lets go first of what must be eaten soonest, then meets the highest score', () => {
    const input = {
      seed: 's',
      offers: [
        offer('late', 'elm', 'soup', { bestBefore: '2027-03-01' }),
        offer('soon', 'elm', 'soup', { bestBefore: '2026-12-05' }),
        offer('back', 'fir', 'pie'),
        offer('also', 'oak', 'pie'),
      ],
      wants: [
        want('keen', 'fir', 'soup', { score: 5 }),
        want('mild', 'oak', 'soup', { score: 1 }),
        want('pie', 'elm', 'pie'),
      ],
      creditPortions: '0',
    };
    expect(swapMatch(input).moves).toEqual([
      { offer: 'back', want: 'pie', containers: 1 },
      { offer: 'soon', want: 'keen', containers: 1 },
    ]);
  });

  it('never brings what a household may not eat or offers itself', () => {
    const excluded = { ...three, excludes: { fir: ['soup'] } };
    expect(swapMatch(excluded).moves).toEqual([]);
    const own = { ...three, offers: [...three.offers, offer('o4', 'fir', 'soup')], creditPortions: '4' };
    expect(swapMatch(own).moves.map((move) => move.want)).not.toContain('w1');
  });

  it('moves containers of different sizes as far as the credit makes up for it', () => {
    const input = {
      seed: 's',
      offers: [
        offer('o1', 'elm', 'soup', { portions: '6' }),
        offer('o2', 'fir', 'pie', { containers: 2, portions: '2' }),
      ],
      wants: [want('w1', 'fir', 'soup'), want('w2', 'elm', 'pie', { containers: 2 })],
    };
    const match = (creditPortions: string) => swapMatch({ ...input, creditPortions });
    expect(match('2')).toMatchObject({ balance: { elm: '2', fir: '-2' }, atMost: '10', proof: 'bounded' });
    expect(match('2').moves).toEqual([
      { offer: 'o1', want: 'w1', containers: 1 },
      { offer: 'o2', want: 'w2', containers: 2 },
    ]);
    expect(match('1').moves).toEqual([]);
  });

  it('answers where there is nothing', () => {
    const empty = { seed: 's', offers: [], wants: [], creditPortions: '0' };
    expect(swapMatch(empty)).toEqual({ proof: 'optimal', moves: [], rings: [], balance: {} });
    expect(swapMatch({ ...empty, offers: [offer('o', 'elm', 'soup', { containers: 0 })] }).balance).toEqual({
      elm: '0',
    });
    expect(swapMatch({ ...three, excludes: { elm: ['stew'], fir: ['soup'], oak: ['pie'] }, ringLimit: 3 }).proof).toBe(
      'optimal',
    );
  });

  it('explains rings step by step and why a want is not met', () => {
    const input = readSwapMatch({
      ...three,
      excludes: { elm: ['cake'] },
      offers: [...three.offers, offer('o4', 'oak', 'cake'), offer('o5', 'oak', 'soup')],
      wants: [
        ...three.wants,
        want('x1', 'elm', 'cake'),
        want('x2', 'elm', 'soup'),
        want('x3', 'elm', 'bread'),
        want('x4', 'fir', 'stew'),
        want('x5', 'fir', 'cake'),
      ],
    });
    const { rings, onCredit, unmet } = explainSwapMatch(matchSwaps(input), input);
    expect(rings.map((ring) => ring.map(({ from, to, dish }) => `${from} ${dish} ${to}`))).toEqual([
      [expect.stringMatching(/^elm soup fir$|^fir pie oak$/), expect.any(String), expect.any(String)],
    ]);
    expect(onCredit).toEqual([]);
    expect(unmet.map(({ want: id, reason }) => [id, reason])).toEqual([
      ['x1', 'excluded'],
      ['x2', 'offers-it'],
      ['x3', 'not-offered'],
      ['x4', 'all-given'],
      ['x5', 'no-room'],
    ]);
  });

  it.each<[string, object, string]>([
    ['an offer twice', { offers: [offer('o', 'a', 'x'), offer('o', 'b', 'x')] }, '#/offers/1/id'],
    ['a want twice', { wants: [want('w', 'a', 'x'), want('w', 'b', 'x')] }, '#/wants/1/id'],
    ['portions of nil', { offers: [offer('o', 'a', 'x', { portions: '0' })] }, '#/offers/0/portions'],
    ['portions that are no number', { offers: [offer('o', 'a', 'x', { portions: 'NaN' })] }, '#/offers/0/portions'],
    ['half a container', { offers: [offer('o', 'a', 'x', { containers: 0.5 })] }, '#/offers/0/containers'],
    [
      'a day that does not exist',
      { offers: [offer('o', 'a', 'x', { bestBefore: '2027-02-30' })] },
      '#/offers/0/bestBefore',
    ],
    [
      'portions without a common part',
      { offers: [offer('o', 'a', 'x', { portions: '1/997' }), offer('p', 'a', 'x', { portions: '1/2' })] },
      '#/offers',
    ],
    ['a score beyond a thousand', { wants: [want('w', 'a', 'x', { score: 1001 })] }, '#/wants/0/score'],
    ['a credit below nil', { creditPortions: '-1' }, '#/creditPortions'],
    ['rings of one', { ringLimit: 1 }, '#/ringLimit'],
    ['a word that is not known', { limit: 2 }, '#/limit'],
  ])('refuses %s', (_, change, pointer) => {
    try {
      swapMatch({ ...three, ...change });
    } catch (error) {
      expect(error).toBeInstanceOf(DomainError);
      expect((error as DomainError).errors[0]?.pointer).toBe(pointer);
      return;
    }
    throw new Error('It was accepted.');
  });
});
