import type { Invalid, Place, Read } from '../input.ts';
import { id, rational, record, refine, text } from '../input.ts';
import type { Rational } from '../rational.ts';
import { div, one, parse, rational as fraction, sub, zero } from '../rational.ts';
import { yieldRows, yieldSources } from './reference-tables.ts';

/** The part of food as purchased that can be eaten, and the published table that says so unless it is the cook's own figure. */
export interface EdibleYield {
  readonly part: Rational;
  readonly source?: string;
}

const hundred = fraction(100n);

function published(choice: { source: string; item: string }, place: Place): EdibleYield | Invalid {
  const row = yieldRows.find((each) => each.source === choice.source && each.item === choice.item);
  if (!row) {
    const known = yieldSources.map((source) => source.id).join(', ');
    return place.fault(
      `There is no yield of "${choice.item}" in "${choice.source}" (tables: ${known}).`,
      'unknown-yield',
    );
  }
  const part = row.asPurchasedPerEdible
    ? div(one, parse(row.asPurchasedPerEdible))
    : div(sub(hundred, parse(row.refusePercent ?? '0')), hundred);
  return { part, source: row.source };
}

const readOwn = rational({ moreThan: zero, atMost: one });
const readPublished = refine(record({ source: text(80), item: id() }), published);

/** Reads an edible yield: a part of one such as `"0.61"`, or `{source, item}` of a published table. */
export const edibleYieldChoice: Read<EdibleYield> = (value, place) =>
  typeof value === 'object' && value !== null
    ? readPublished(value, place)
    : refine(readOwn, (part): EdibleYield => ({ part }))(value, place);
