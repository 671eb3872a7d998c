import type { Invalid, Place, Read } from '../input.ts';
import { id, optional, positive, record, refine, text } from '../input.ts';
import type { Rational } from '../rational.ts';
import { div, format, parse } from '../rational.ts';
import { densityRows, densitySources } from './reference-tables.ts';

/** Where a density comes from, as a result reports it: grams in so many millilitres of an item, and the edition of the table. */
export interface DensitySource {
  id: string;
  item: string;
  grams: string;
  perMl: string;
  title?: string;
  edition?: string;
  name?: string;
}

/** A density in grams per millilitre, never without its source. */
export interface Density {
  readonly gramsPerMl: Rational;
  readonly source: DensitySource;
}

interface DensityChoice {
  source: string;
  item: string;
  gramsPerMl?: Rational | undefined;
}

function published(choice: DensityChoice, place: Place): Density | Invalid {
  const source = densitySources.find((candidate) => candidate.id === choice.source);
  if (!source) {
    const known = densitySources.map((candidate) => candidate.id).join(', ');
    return place
      .at('source')
      .fault(
        `There is no table "${choice.source}"; there are: ${known}. For a figure of your own add gramsPerMl.`,
        'unknown-density',
      );
  }
  const rows = densityRows.filter(
    (row) => row.source === source.id && (row.item === choice.item || row.ndb === choice.item),
  );
  const [row] = rows;
  if (!row || rows.length > 1) {
    const hint = row ? `means one of ${rows.map((each) => each.item).join(', ')}` : 'is not in it';
    return place.at('item').fault(`"${choice.item}" ${hint} (${source.id}).`, 'unknown-density');
  }
  const { item, name, grams, perMl } = row;
  return { gramsPerMl: div(parse(grams), parse(perMl)), source: { ...source, item, name, grams, perMl } };
}

/**
 * Reads the choice of a density: `{source, item}` of a published table (the item's id, or its number there when that is one row only), or
 * `{source, item, gramsPerMl}` for a figure of one's own, whose source must not be the name of a published table.
 */
export const densityChoice: Read<Density> = refine(
  record({ source: text(80), item: id(), gramsPerMl: optional(positive()) }),
  (choice, place) => {
    const { gramsPerMl, source, item } = choice;
    if (!gramsPerMl) return published(choice, place);
    if (densitySources.some((table) => table.id === source)) {
      return place.at('gramsPerMl').fault(`A figure of your own cannot stand under the name of the table ${source}.`);
    }
    return { gramsPerMl, source: { id: source, item, grams: format(gramsPerMl), perMl: '1' } };
  },
);
