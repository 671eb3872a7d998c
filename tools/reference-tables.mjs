// Writes the published tables of shared/reference/ into packages/calc as typed constants, because calc reads no files.
// Run it after a change of a table: node tools/reference-tables.mjs
import { readFile, writeFile } from 'node:fs/promises';
import { format, resolveConfig } from 'prettier';
import { isMain } from './workspace.mjs';

const reference = new URL('../shared/reference/', import.meta.url);
export const tablesFile = new URL('../packages/calc/src/quantity/reference-tables.ts', import.meta.url);

/** @param {string} name */
const table = async (name) => JSON.parse(await readFile(new URL(`${name}.json`, reference), 'utf8'));

/**
 * @param {Record<string, unknown>[]} rows
 * @param {string[]} members
 */
const only = (rows, members) =>
  rows.map((row) => Object.fromEntries(members.filter((key) => row[key] !== undefined).map((key) => [key, row[key]])));

/** The text of the constants' file, from the tables as they are on disk. */
export async function referenceTables() {
  const [units, densities, yields] = await Promise.all([table('units'), table('densities'), table('yields')]);
  /** @type {[string, string, unknown][]} */
  const constants = [
    ['unitRows', 'UnitRow', only(units.units, ['id', 'plural', 'dimension', 'inBase', 'measures', 'aliases'])],
    ['densitySources', 'ReferenceSource', densities.sources],
    ['densityRows', 'DensityRow', only(densities.densities, ['source', 'item', 'name', 'ndb', 'grams', 'perMl'])],
    ['yieldSources', 'ReferenceSource', yields.sources],
    ['yieldRows', 'YieldRow', only(yields.yields, ['source', 'item', 'name', 'asPurchasedPerEdible', 'refusePercent'])],
  ];
  const text = [
    '// Written by tools/reference-tables.mjs from shared/reference/, where the source of each number stands; do not edit.',
    "import type { DensityRow, ReferenceSource, UnitRow, YieldRow } from './reference.ts';",
    ...constants.map(([name, type, rows]) => `export const ${name}: readonly ${type}[] = ${JSON.stringify(rows)};`),
  ].join('\n\n');
  return format(text, { ...(await resolveConfig(tablesFile)), parser: 'typescript' });
}

if (isMain(import.meta.url)) await writeFile(tablesFile, await referenceTables());
