import { csv, type CsvCell } from '../../lib/csv.ts';
import { minorToDecimal } from '../../lib/format/typed-number.ts';
import type { Statement, StatementLine } from './account-queries.ts';
import type { LineWords } from './line-words.ts';

/** Micro-portions are six digits after the point. */
const PORTION_DIGITS = 6;

/** The statement as a table for a spreadsheet, in the order of the screen: dates as ISO 8601, amounts as plain decimals. */
export function statementCsv(
  statement: Statement,
  lines: readonly StatementLine[],
  words: (line: StatementLine) => LineWords,
  heads: readonly string[],
  currencyDigits: number,
): string {
  const digits = statement.book === 'money' ? currencyDigits : PORTION_DIGITS;
  const rows = lines.map((line): CsvCell[] => {
    const { title, sentences } = words(line);
    return [
      { text: line.on },
      { text: [title, ...sentences].join(' · ') },
      { number: minorToDecimal(line.amount, digits) },
      { number: minorToDecimal(line.balance, digits) },
      { number: line.roundNumber === null ? '' : String(line.roundNumber) },
      { text: line.by },
      { text: line.at },
      { text: line.entryId },
    ];
  });
  return csv(heads, rows);
}
