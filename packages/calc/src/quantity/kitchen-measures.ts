import type { Rational } from '../rational.ts';
import {
  cmp,
  div,
  eq,
  floor,
  format,
  isInteger,
  isZero,
  mul,
  parse,
  rational,
  roundTo,
  sub,
  toDecimal,
} from '../rational.ts';
import type { Measures, Unit } from './units.ts';
import { findUnit } from './units.ts';

/** One term of a quantity as a cook measures it: 4 lb, or 5 1/2 oz. */
export interface KitchenAmount {
  readonly amount: Rational;
  readonly unit: Unit;
}

const quarter = rational(1n, 4n);
/** The sizes of measuring cups besides the whole one. */
const cupFractions = ['1/4', '1/3', '1/2', '2/3', '3/4'].map(parse);

interface Chain {
  /** The units whose quantities are measured so. */
  readonly of: readonly string[];
  /** The units measured one after the other, greatest first; the last one is rounded to a quarter. */
  readonly measuredIn: readonly string[];
}

const weighed: Chain = { of: ['lb', 'oz'], measuredIn: ['lb', 'oz'] };
const spooned: Chain = { of: ['cup', 'fl oz', 'tbsp', 'tsp'], measuredIn: ['cup', 'tbsp', 'tsp'] };
const chains: Record<Measures, readonly Chain[]> = {
  us: [weighed, spooned, { of: ['gal', 'qt', 'pt'], measuredIn: ['gal', 'qt', 'pt', 'cup', 'tbsp', 'tsp'] }],
  imperial: [
    weighed,
    { of: ['tbsp', 'tsp'], measuredIn: ['tbsp', 'tsp'] },
    { of: ['cup'], measuredIn: ['cup', 'fl oz'] },
    { of: ['gal', 'qt', 'pt', 'fl oz'], measuredIn: ['gal', 'pt', 'fl oz'] },
  ],
  metric: [weighed, spooned],
  au: [weighed, spooned],
  // A pound is no whole number of label ounces, so both are said by themselves.
  'us-label': [spooned, { of: ['oz'], measuredIn: ['oz'] }],
};

/** The units to measure in; from a whole gallon up a quantity is measured in gallons whatever it was given in. */
function chainFor(quantity: Rational, unit: Unit, measures: Measures): readonly Unit[] | undefined {
  const unitsOf = (chain: Chain): Unit[] =>
    chain.measuredIn.map((id) => findUnit(id, measures)).filter((each) => each !== undefined);
  const chain = chains[measures].find(({ of }) => of.includes(unit.id));
  const poured = chains[measures].find(({ measuredIn }) => measuredIn[0] === 'gal');
  const gallon = findUnit('gal', measures);
  const fillsGallon = gallon && unit.dimension === 'volume' && cmp(mul(quantity, unit.inBase), gallon.inBase) >= 0;
  return chain && unitsOf(fillsGallon && poured ? poured : chain);
}

/** Splits a quantity, already rounded to quarters of the chain's last unit, into whole units and a rest. */
function split(inBase: Rational, chain: readonly Unit[], finest: Unit): KitchenAmount[] {
  const terms: KitchenAmount[] = [];
  const step = mul(quarter, finest.inBase);
  let rest = inBase;
  for (const unit of chain) {
    const whole = rational(floor(div(rest, unit.inBase)));
    const part = sub(rest, mul(whole, unit.inBase));
    const cup =
      unit.id === 'cup' ? cupFractions.find((size) => eq(roundTo(mul(size, unit.inBase), step), part)) : undefined;
    if (cup) return [...terms, { amount: rational(whole.n * cup.d + cup.n, cup.d), unit }];
    const amount = unit === finest ? div(rest, unit.inBase) : whole;
    if (!isZero(amount)) terms.push({ amount, unit });
    rest = part;
  }
  return terms;
}

/** Decimals to which a unit outside the chains is said; grams and millilitres under ten keep one. Common practice, no source. */
const decimalsOf = (quantity: Rational, unit: Unit): number => {
  if (unit.id === 'kg' || unit.id === 'L') return 3;
  if (unit.id === 'g' || unit.id === 'mL') return cmp(quantity, rational(10n)) < 0 ? 1 : 0;
  return unit.id === 'mg' ? 0 : 2;
};

/** 11/2 as `5 1/2`, 3/4 as `3/4`, 4 as `4`. */
function mixed(amount: Rational): string {
  const whole = floor(amount);
  if (isInteger(amount) || whole === 0n) return format(amount);
  return `${whole} ${format(sub(amount, rational(whole)))}`;
}

const named = (figure: string, amount: Rational, { id, plural }: Unit): string => {
  if (id === 'each') return figure;
  return `${figure} ${plural && cmp(amount, rational(1n)) > 0 ? plural : id}`;
};

/**
 * A quantity as a cook measures it, in terms of falling size. Pounds and ounces, and the chain of gallon, quart, pint, cup, tablespoon and teaspoon,
 * with the last unit rounded to the nearest quarter, a half of that up (ounces .00-.12 none, .13-.37 a quarter, .38-.62 a half, .63-.87 three quarters,
 * .88-.99 one); what is exactly a measuring cup's quarter or third is said so. Source: US Armed Forces Recipe Service (TM 10-412, 2003), No. 1(2)
 * and (3); that cups stay cups under a gallon is our decision. Empty when it rounds to nil; undefined when the unit is said as a decimal or a count.
 */
export function inKitchenMeasures(quantity: Rational, unit: Unit, measures: Measures): KitchenAmount[] | undefined {
  const chain = chainFor(quantity, unit, measures);
  const finest = chain?.at(-1);
  if (!chain || !finest) return undefined;
  return split(roundTo(mul(quantity, unit.inBase), mul(quarter, finest.inBase)), chain, finest);
}

/** A quantity in words for the cook: `4 lb 5 1/2 oz`, `3 3/4 cups`, `1500 g`; never nil for something that is not nil. */
export function sayInKitchen(quantity: Rational, unit: Unit, measures: Measures): string {
  if (isZero(quantity)) return named('0', quantity, unit);
  const terms = inKitchenMeasures(quantity, unit, measures);
  const finest = chainFor(quantity, unit, measures)?.at(-1);
  if (terms && finest) {
    const said = terms.map((term) => named(mixed(term.amount), term.amount, term.unit)).join(' ');
    return said || `under ${named('1/4', quarter, finest)}`;
  }
  if (unit.dimension !== 'mass' && unit.dimension !== 'volume') {
    const rounded = roundTo(quantity, quarter);
    return isZero(rounded) ? `under ${named('1/4', quarter, unit)}` : named(mixed(rounded), rounded, unit);
  }
  const decimals = decimalsOf(quantity, unit);
  const least = rational(1n, 10n ** BigInt(decimals));
  const figure = roundTo(quantity, least);
  const shown = (value: Rational): string =>
    toDecimal(value, decimals)
      .replace(/(\.\d*?)0+$/, '$1')
      .replace(/\.$/, '');
  return isZero(figure) ? `under ${named(shown(least), least, unit)}` : named(shown(figure), figure, unit);
}
