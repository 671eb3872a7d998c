import { saveFile } from './save-file.ts';

/** A cell: text that people typed or read, or a number in plain decimals. */
export type CsvCell = { text: string } | { number: string };

/** Spreadsheets take a cell that begins with one of these for a formula, so what people typed must not begin with it. */
const FORMULA_START = /^[=+\-@\t\r]/;
const NEEDS_QUOTES = /[",\r\n]/;

function written(cell: CsvCell): string {
  const text = 'number' in cell ? cell.number : cell.text.replace(FORMULA_START, "'$&");
  return NEEDS_QUOTES.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}

/**
 * A table as comma-separated values: a line of heads, then the rows; quotes and line ends as in RFC 4180, section 2. A text that would be
 * taken for a formula gets an apostrophe before it; a number never does, so that minus five stays one.
 */
export function csv(heads: readonly string[], rows: readonly (readonly CsvCell[])[]): string {
  const lines = [heads.map((text) => ({ text })), ...rows];
  return lines.map((line) => `${line.map(written).join(',')}\r\n`).join('');
}

/** Hands a table to the browser as a file; the byte order mark tells spreadsheets that it is UTF-8. */
export function saveCsv(name: string, content: string): void {
  saveFile(name, new Blob(['\uFEFF', content], { type: 'text/csv;charset=utf-8' }));
}
