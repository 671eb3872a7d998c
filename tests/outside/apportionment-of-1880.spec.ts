import { largestRemainder, rational } from '@frostmoot/calc';
import { describe, expect, it } from '@jest/globals';

const { add, rational: fraction, toDecimal, zero } = rational;

/**
 * United States census of 1880, the states that had seats. Alabama, Illinois, Texas, New York, Pennsylvania, Ohio, Missouri, Indiana, Massachusetts and Kentucky were
 * read in published tables; the others are from memory, as is the sum of all, 49,371,340.
 */
const populations = {
  ...{ Alabama: 1262505, Arkansas: 802525, California: 864694, Colorado: 194327, Connecticut: 622700 },
  ...{ Delaware: 146608, Florida: 269493, Georgia: 1542180, Illinois: 3077871, Indiana: 1978301, Iowa: 1624615 },
  ...{ Kansas: 996096, Kentucky: 1648690, Louisiana: 939946, Maine: 648936, Maryland: 934943 },
  ...{ Massachusetts: 1783085, Michigan: 1636937, Minnesota: 780773, Mississippi: 1131597, Missouri: 2168380 },
  ...{ Nebraska: 452402, Nevada: 62266, 'New Hampshire': 346991, 'New Jersey': 1131116, 'New York': 5082871 },
  ...{ 'North Carolina': 1399750, Ohio: 3198062, Oregon: 174768, Pennsylvania: 4282891, 'Rhode Island': 276531 },
  ...{ 'South Carolina': 995577, Tennessee: 1542359, Texas: 1591749, Vermont: 332286, Virginia: 1512565 },
  ...{ 'West Virginia': 618457, Wisconsin: 1315497 },
};
const total = Object.values(populations).reduce((sum, people) => sum + BigInt(people), 0n);

const quotas = (seats: bigint) =>
  new Map(Object.entries(populations).map(([state, people]) => [state, fraction(BigInt(people) * seats, total)]));

describe('largest remainders, against the apportionment of 1880', () => {
  // B. Cipra, E Pluribus Confusion, American Scientist, July-August 2010: the quotas, and that Alabama has 8 seats of 299 and 7 of 300; Illinois gets the 299th
  // and Texas the 300th instead.
  it.each([
    [299n, { Alabama: ['7.646', 8n], Illinois: ['18.640', 18n], Texas: ['9.640', 9n] }],
    [300n, { Alabama: ['7.671', 7n], Illinois: ['18.702', 19n], Texas: ['9.672', 10n] }],
  ] as const)('of %s seats gives the quotas to three decimals and the seats', (seats, published) => {
    const exact = quotas(seats);
    // No state goes without a seat, and only Nevada's quota is under a half.
    expect([...exact].flatMap(([state, { n, d }]) => (n < d && 2n * n < d ? [state] : []))).toEqual(['Nevada']);
    const wanted = new Map([...exact, ['Nevada', fraction(1n)]]);
    const given = largestRemainder(wanted, seats, 'any');
    expect([...given.values()].reduce((sum, each) => sum + each, 0n)).toBe(seats);
    for (const [state, [quota, share]] of Object.entries(published)) {
      expect([state, toDecimal(exact.get(state) ?? zero, 3), given.get(state)]).toEqual([state, quota, share]);
    }
  });

  it('is a check of the populations too: they sum to what was apportioned', () => {
    expect(total).toBe(49_371_340n);
    expect([...quotas(299n).values()].reduce(add, zero)).toEqual(fraction(299n));
  });
});
