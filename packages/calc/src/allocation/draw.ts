import { byCodeUnits } from '../canonical.ts';
import { sha256 } from './sha256.ts';

/**
 * The ids in an order drawn by lot: by SHA-256 of seed and id, equal hashes by id. The same seed gives the same order whatever the order of
 * the input, and another seed another order, so that nobody is favoured by name for ever.
 * Our decision. `seed`: any text; `ids`: distinct texts. Gives the ids once each.
 */
export function drawOrder(seed: string, ids: Iterable<string>): string[] {
  // JSON quotes both parts, so that no seed and id together read like another seed and id.
  return [...ids]
    .map((id) => ({ id, lot: sha256(JSON.stringify([seed, id])) }))
    .sort((a, b) => byCodeUnits(a.lot, b.lot) || byCodeUnits(a.id, b.id))
    .map(({ id }) => id);
}
