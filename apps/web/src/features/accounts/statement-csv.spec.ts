import { describe, expect, it } from '@jest/globals';
import type { Statement, StatementLine } from './account-queries.ts';
import { statementCsv } from './statement-csv.ts';

const line = (more: Partial<StatementLine>): StatementLine => ({
  entryId: 'e1',
  kind: 'payment',
  on: '2026-11-19',
  reason: '',
  facts: {},
  amount: '-1163',
  balance: '5817',
  reverses: null,
  reversed: false,
  documentId: null,
  roundNumber: 14,
  by: '=Ada',
  at: '2026-11-19T10:00:00.000Z',
  ...more,
});
const statement = (book: Statement['book']): Statement => ({
  household: { id: 'h', name: 'Alder' },
  book,
  balance: '0',
  lines: [],
});
const words = () => ({ title: 'Paid, "twice"', sentences: ['Why.'] });
const heads = ['Date', 'What', 'Change', 'Balance', 'Round', 'By', 'At', 'Entry'];

describe('the statement for a spreadsheet', () => {
  it('writes money with the digits of its currency, and guards what people typed', () => {
    expect(statementCsv(statement('money'), [line({})], words, heads, 2)).toBe(
      'Date,What,Change,Balance,Round,By,At,Entry\r\n' +
        '2026-11-19,"Paid, ""twice"" · Why.",-11.63,58.17,14,\'=Ada,2026-11-19T10:00:00.000Z,e1\r\n',
    );
    expect(statementCsv(statement('money'), [line({ amount: '-1163' })], words, heads, 0)).toContain(',-1163,');
  });

  it('writes portions to the millionth, and no round where there is none', () => {
    const portions = line({ amount: '-9833333', balance: '166667', roundNumber: null });
    expect(statementCsv(statement('portions'), [portions], words, heads, 2)).toContain(',-9.833333,0.166667,,');
  });
});
