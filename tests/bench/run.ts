import { SolverPool } from '@frostmoot/solver';
import { cases } from './cases.ts';
import { cooperatives, sharePart } from './cooperatives.ts';
import type { Figures } from './measure.ts';
import { measure } from './measure.ts';

const help = `npm run bench -- [words] [--instances N] [--no-cbc]

Prints one table: every computation at several sizes, on made-up instances that are the same every time.
Words choose the computations whose name contains one of them. N instances a row (7 if left out).

npm run bench -- cooperatives [N]

Shares out N made-up cooperatives (10,000 if left out) by the real function on two processes.

Times of a shared machine say little: compare them within one run only. Nothing here decides a test.
`;

const digits = (value: number): string => (value >= 100 ? value.toFixed(0) : value.toPrecision(2));

/** How the time grows when there is so many times as much: the power of the amount that the processor's time follows. */
const growth = (before: [number, number] | undefined, amount: number, median: number): string =>
  before ? `n^${(Math.log(median / before[1]) / Math.log(amount / before[0])).toFixed(1)}` : '';

const ratio = ({ ahead }: Figures, hasCbc: boolean): string => {
  if (!hasCbc) return '';
  if (ahead === undefined) return 'no model needed';
  return ahead === Infinity ? 'CBC did not finish in 300 s' : `${digits(ahead)} x`;
};

const headings = [
  'computation',
  'size',
  'median ms',
  'worst ms',
  'processor ms',
  'growth',
  'CBC / ours',
  'proofs',
  'wanted',
];
const widths = [27, 11, 9, 9, 12, 6, 26, 26, 0];

/** Line by line, because the whole takes many minutes. */
const print = (row: readonly string[]): void =>
  console.log(
    row
      .map((cell, i) => cell.padEnd(widths[i] ?? 0))
      .join('  ')
      .trimEnd(),
  );

async function table(words: readonly string[], instances: number, withCbc: boolean): Promise<void> {
  const chosen = cases.filter(({ name }) => words.length === 0 || words.some((word) => name.includes(word)));
  const pool = new SolverPool({ threads: 1 });
  print(headings);
  let before: { name: string; at: [number, number] } | undefined;
  for (const one of chosen) {
    const figures = await measure(one, instances, pool, withCbc);
    const same = before?.name === one.name ? before.at : undefined;
    print([
      one.name,
      one.size,
      digits(figures.median),
      digits(figures.worst),
      digits(figures.processor),
      growth(same, one.amount, figures.processor),
      ratio(figures, withCbc),
      [...figures.proofs].map(([proof, n]) => `${n} ${proof}`).join(', '),
      one.target ?? '',
    ]);
    before = { name: one.name, at: [one.amount, figures.processor] };
  }
  await pool.close();
  console.log('\nOne run on this machine as it was; compare within the run, or the ratios, and nothing else.');
}

/** The whole number behind a word such as `--instances`. */
function numberAfter(args: readonly string[], word: string, otherwise: number): number {
  const at = args.indexOf(word);
  const value = at < 0 ? otherwise : Number(args[at + 1]);
  if (!Number.isSafeInteger(value) || value < 1) throw new Error(`${word} needs a whole number from 1 on.`);
  return value;
}

const [first, ...rest] = process.argv.slice(2);
if (first === '--help' || first === '-h') process.stdout.write(help);
else if (first === 'part') process.send?.(await sharePart(Number(rest[0]), Number(rest[1]), Number(rest[2])));
else if (first === 'cooperatives')
  console.log(await cooperatives(numberAfter(rest.length > 0 ? ['N', ...rest] : [], 'N', 10_000)));
else {
  const args = process.argv.slice(2);
  const words = args.filter((word, i) => !word.startsWith('--') && args[i - 1] !== '--instances');
  await table(words, numberAfter(args, '--instances', 7), !args.includes('--no-cbc'));
}
