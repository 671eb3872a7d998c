// The round of the demo cooperative in a few lines, as `npm start` shows it.

/**
 * What `node apps/api/dist/demo.js --summary` prints as JSON: every amount is already in words of the cooperative's currency and locale.
 * @typedef {object} DemoSummary
 * @property {{ name: string, email: string, password: string, roles: string[], household: string }[]} accounts
 * @property {string} round its name
 * @property {{ lines: { seller: string, item: string, packs: number, total: string }[], total: string }} buy
 * @property {{ household: string, amount: string }[]} pays each household's share of the cost
 * @property {{ household: string, portions: string, dishes: string[] }[]} gets
 * @property {{ from: string, to: string, amount: string }[]} due payments that settle the round
 */

/** @param {DemoSummary} summary */
export function printSummary(summary) {
  const lines = [
    ...section('Sign in as', summary.accounts, ({ name, email, password, roles, household }) => [
      `${email}`,
      password,
      `${name}, ${household}: ${roles.join(', ')}`,
    ]),
    ...section(`To buy for ${summary.round}`, summary.buy.lines, ({ seller, item, packs, total }) => [
      `${packs} x ${item}`,
      seller,
      total,
    ]),
    `  Total ${summary.buy.total}`,
    ...section('Who pays what', summary.pays, ({ household, amount }) => [household, amount]),
    ...section('Who gets what', summary.gets, ({ household, portions, dishes }) => [
      household,
      `${portions} portions`,
      dishes.join(', '),
    ]),
    ...section('Payments due', summary.due, ({ from, to, amount }) => [`${from} to ${to}`, amount]),
  ];
  console.log(`${lines.slice(1).join('\n')}\n`);
}

/** @template T @param {string} title @param {T[]} rows @param {(row: T) => string[]} cells */
function section(title, rows, cells) {
  if (rows.length === 0) return ['', title, '  nothing'];
  const table = rows.map(cells);
  const widths = table.reduce(
    (/** @type {number[]} */ max, row) => row.map((cell, i) => Math.max(max[i] ?? 0, cell.length)),
    [],
  );
  return [
    '',
    title,
    ...table.map((row) => `  ${row.map((cell, i) => cell.padEnd(widths[i] ?? 0)).join('  ')}`.trimEnd()),
  ];
}
