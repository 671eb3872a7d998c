import { describe, expect, it } from '@jest/globals';
import fc from 'fast-check';
import { format, rational } from '../rational.ts';
import { matchSwaps } from '../swap-match/swap-match.ts';
import type { SwapMatchInput } from '../swap-match/swap-input.ts';
import { overCredit, ringBalance, ringKey, ringProposals } from './ring-proposals.ts';

const offer = (id: string, household: string, dish: string, portions = 2) => ({
  ...{ id, household, dish, containers: 1 },
  portions: rational(BigInt(portions)),
  bestBefore: '2027-02-28',
});
const want = (household: string, dish: string, containers = 1) => ({
  ...{ id: `${household} wants ${dish}`, household, dish, containers, score: 1 },
});
const input = (given: Partial<SwapMatchInput>): SwapMatchInput => ({
  ...{ seed: 's', offers: [], wants: [], excludes: new Map(), creditPortions: rational(1n), ringLimit: 3 as const },
  ...given,
});
const proposalsOf = (given: SwapMatchInput) => ringProposals(matchSwaps(given), given);

// Our decisions of ADR 56; there is no published source.
describe('the rings that are proposed', () => {
  it('go from each household to the next, beginning with the first by name', () => {
    const given = input({
      offers: [offer('1', 'c', 'stew'), offer('2', 'a', 'pie'), offer('3', 'b', 'soup')],
      wants: [want('a', 'stew'), want('b', 'pie'), want('c', 'soup')],
    });
    expect(proposalsOf(given)).toEqual([
      {
        steps: [
          { from: 'a', to: 'b', parts: [{ offer: '2', want: 'b wants pie' }] },
          { from: 'b', to: 'c', parts: [{ offer: '3', want: 'c wants soup' }] },
          { from: 'c', to: 'a', parts: [{ offer: '1', want: 'a wants stew' }] },
        ],
      },
    ]);
  });

  it('through the same households are one', () => {
    const given = input({
      offers: [offer('1', 'a', 'pie'), offer('2', 'a', 'pie'), offer('3', 'b', 'stew'), offer('4', 'b', 'stew')],
      wants: [want('a', 'stew', 2), want('b', 'pie', 2)],
    });
    const [ring, ...others] = proposalsOf(given);
    expect(others).toEqual([]);
    expect(ring?.steps.map(({ parts }) => parts.length)).toEqual([2, 2]);
  });

  it('leave out what would only be within the credit together with another ring', () => {
    // a gives b 3 portions for 1, and gets 3 for 1 from c: even together, two portions out by itself.
    const given = input({
      offers: [
        offer('1', 'a', 'pie', 3),
        offer('2', 'b', 'stew', 1),
        offer('3', 'a', 'soup', 1),
        offer('4', 'c', 'curry', 3),
      ],
      wants: [want('b', 'pie'), want('a', 'stew'), want('c', 'soup'), want('a', 'curry')],
      creditPortions: rational(2n),
    });
    expect(proposalsOf(given)).toHaveLength(2);
    expect(proposalsOf({ ...given, creditPortions: rational(1n) })).toEqual([]);
  });

  it('hold only moves of the matching, each once, within the credit, and everybody gives and gets', () => {
    const member = fc.constantFrom('a', 'b', 'c', 'd');
    const dish = fc.constantFrom('pie', 'stew', 'soup');
    fc.assert(
      fc.property(
        fc.array(fc.tuple(member, dish, fc.integer({ min: 1, max: 3 })), { maxLength: 12 }),
        fc.array(fc.tuple(member, dish, fc.integer({ min: 1, max: 3 })), { maxLength: 12 }),
        fc.constantFrom(2, 3, undefined),
        fc.integer({ min: 0, max: 3 }),
        (offers, wants, ringLimit, credit) => {
          const given: SwapMatchInput = {
            ...input({ ringLimit: ringLimit, creditPortions: rational(BigInt(credit)) }),
            offers: offers.map(([household, what, portions], i) => offer(`${i}`, household, what, portions)),
            wants: [...new Map(wants.map((one) => [`${one[0]} ${one[1]}`, one])).values()].map(([h, d, n]) =>
              want(h, d, n),
            ),
          };
          const match = matchSwaps(given);
          const moves = new Set(match.moves.map((move) => `${move.offer} ${move.want}`));
          const seen = new Set<string>();
          for (const { steps } of ringProposals(match, given)) {
            expect(steps.map(({ to }) => to)).toEqual(
              [...steps.slice(1), ...steps.slice(0, 1)].map(({ from }) => from),
            );
            const parts = steps.flatMap(({ from, to, parts: handed }) =>
              handed.map((part) => ({ ...part, giver: from, receiver: to })),
            );
            for (const part of parts) {
              expect(moves.has(`${part.offer} ${part.want}`)).toBe(true);
              expect(seen.has(part.offer)).toBe(false);
              seen.add(part.offer);
              expect(given.offers.find(({ id }) => id === part.offer)?.household).toBe(part.giver);
            }
            const balance = ringBalance(
              parts.map((part) => ({ ...part, portions: given.offers.find(({ id }) => id === part.offer)!.portions })),
            );
            expect(overCredit(balance, credit)).toEqual([]);
          }
        },
      ),
      { numRuns: 200 },
    );
  });
});

describe('a ring', () => {
  it('leaves each household what it gave less what it got', () => {
    const balance = ringBalance([
      { giver: 'a', receiver: 'b', portions: rational(3n) },
      { giver: 'b', receiver: 'a', portions: rational(2n) },
    ]);
    expect([...balance].map(([id, portions]) => [id, format(portions)])).toEqual([
      ['a', '1'],
      ['b', '-1'],
    ]);
    expect(overCredit(balance, 0)).toEqual(['a', 'b']);
    expect(overCredit(balance, 1)).toEqual([]);
  });

  it('is the same whatever order its parts come in', () => {
    const [x, y] = [
      { container: '1', receiver: 'a' },
      { container: '2', receiver: 'b' },
    ];
    expect(ringKey([x, y])).toBe(ringKey([y, x]));
    expect(ringKey([x, y])).not.toBe(ringKey([x, { ...y, receiver: 'c' }]));
  });
});
