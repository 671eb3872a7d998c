import { allocateByWeight, estateDivision, nestedShares, rational } from '@frostmoot/calc';
import { describe, expect, it } from '@jest/globals';

const { format, parse } = rational;

describe('fair division, against the literature', () => {
  it('shows the Alabama paradox of largest remainders, which the carry has to make good', () => {
    // Saari, Apportionment methods and the House of Representatives, Amer. Math. Monthly 85 (1978): weights of 3, 7 and 90 per cent.
    const weights = new Map([
      ['small', parse('3')],
      ['middle', parse('7')],
      ['large', parse('90')],
    ]);
    const seats = (house: bigint) => {
      const amounts = allocateByWeight(house, weights, 'any');
      return ['small', 'middle', 'large'].map((id) => Number(amounts.get(id)));
    };
    expect(seats(49n)).toEqual([2, 3, 44]);
    expect(seats(51n)).toEqual([1, 4, 46]);
  });

  it('shares the cost of a runway as the airport game does', () => {
    // Littlechild and Owen, A simple expression for the Shapley value in a special case, Management Science 20 (1973): 8, 11, 13, 18.
    const shares = nestedShares(
      new Map([
        ['one', 8n],
        ['two', 11n],
        ['three', 13n],
        ['four', 18n],
      ]),
    );
    expect(['one', 'two', 'three', 'four'].map((id) => format(shares.get(id) ?? parse('0')))).toEqual([
      '2',
      '3',
      '4',
      '9',
    ]);
  });

  // Aumann and Maschler, Game theoretic analysis of a bankruptcy problem from the Talmud, J. Econ. Theory 36 (1985):
  // claims of 100, 200 and 300 on an estate.
  it.each([
    ['100', ['100/3', '100/3', '100/3']],
    ['200', ['50', '75', '75']],
    ['300', ['50', '100', '150']],
  ])('divides an estate of %s among three claims as the Mishnah does', (estate, expected) => {
    const claims = new Map([
      ['first', parse('100')],
      ['second', parse('200')],
      ['third', parse('300')],
    ]);
    const parts = estateDivision(parse(estate), claims);
    expect(['first', 'second', 'third'].map((id) => format(parts.get(id) ?? parse('0')))).toEqual(expected);
  });
});
