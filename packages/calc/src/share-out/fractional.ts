import type { Rational } from '../rational.ts';
import { div, isZero, mul, rational, sum, zero } from '../rational.ts';
import { FlowNetwork } from './flow-network.ts';
import { commonDenominator, scaled } from './scale.ts';

/** How many times the proportions are fitted to both sums before the rest is made exact. */
const fittings = 12;

/** amounts[household][dish] with exact sums on both sides */
type Table = bigint[][];

const rowSum = (row: readonly bigint[]): bigint => row.reduce((a, b) => a + b, 0n);
const columnSum = (table: Table, dish: number): bigint => table.reduce((total, row) => total + (row[dish] ?? 0n), 0n);

/** Whole numbers near the product of both sums where it is allowed, by proportional fitting, and nowhere above either sum. */
function fitted(rows: readonly bigint[], columns: readonly bigint[], eats: readonly (readonly boolean[])[]): Table {
  let table: Table = rows.map((row, h) => columns.map((column, d) => (eats[h]?.[d] ? row * column : 0n)));
  for (let turn = 0; turn < fittings; turn++) {
    table = table.map((row, h) => {
      const total = rowSum(row);
      return total === 0n ? row : row.map((amount) => (amount * (rows[h] ?? 0n)) / total);
    });
    const totals = columns.map((_, d) => columnSum(table, d));
    table = table.map((row) => row.map((amount, d) => (totals[d] ? (amount * (columns[d] ?? 0n)) / totals[d] : 0n)));
  }
  return table.map((row, h) => {
    const total = rowSum(row);
    const limit = rows[h] ?? 0n;
    return total > limit ? row.map((amount) => (amount * limit) / total) : row;
  });
}

/** Sends what is missing on both sides through the table, taking back where that is the only way, until both sums are exact. */
function completed(
  table: Table,
  rows: readonly bigint[],
  columns: readonly bigint[],
  eats: readonly (readonly boolean[])[],
): Table {
  const source = rows.length + columns.length;
  const network = new FlowNetwork(source + 2);
  const unlimited = rowSum(columns) + 1n;
  columns.forEach((column, d) => network.addArc(source, rows.length + d, column - columnSum(table, d)));
  rows.forEach((row, h) => network.addArc(h, source + 1, row - rowSum(table[h] ?? [])));
  const arcs = table.map((row, h) =>
    row.map((amount, d) => (eats[h]?.[d] ? network.addArc(rows.length + d, h, unlimited, amount) : -1)),
  );
  network.run(source, source + 1);
  return arcs.map((row) => row.map((arc) => (arc < 0 ? 0n : network.flowOn(arc))));
}

/**
 * How much of each dish each household gets as a fluid, spread as evenly over the dishes as who eats what allows.
 * Method: where everyone who gets something eats everything, each dish in proportion; otherwise proportional fitting (Deming and Stephan, Ann. Math.
 * Stat. 11, 1940) for the shape and a flow for exact sums. `rows`: each household's amount; `supply`: each dish's amount, feasible together,
 * as nearestBase gives them. Gives amounts[household][dish] with exactly these sums, nil where a household does not eat.
 */
export function fractionalDivision(
  rows: readonly Rational[],
  supply: readonly Rational[],
  eats: readonly (readonly boolean[])[],
): Rational[][] {
  const columns = supply.map((amount, d) => (eats.some((row) => row[d]) ? amount : zero));
  const total = sum(columns);
  if (isZero(total)) return rows.map(() => columns.map(() => zero));
  const proportional = rows.every(
    (row, h) => isZero(row) || columns.every((column, d) => isZero(column) || eats[h]?.[d]),
  );
  if (proportional) return rows.map((row) => columns.map((column) => div(mul(row, column), total)));
  // Finer than the sums themselves, so that the fitting has room.
  const factor = commonDenominator([...rows, ...columns]) * 65_536n;
  const wholeRows = rows.map((row) => scaled(row, factor));
  const wholeColumns = columns.map((column) => scaled(column, factor));
  const table = completed(fitted(wholeRows, wholeColumns, eats), wholeRows, wholeColumns, eats);
  return table.map((row) => row.map((amount) => rational(amount, factor)));
}
