import { describe, expect, it } from '@jest/globals';
import { DomainError } from '../domain-error.ts';
import { parse } from '../rational.ts';
import type { EntryDraft } from './entry.ts';
import { rotaPublished, turnCovered, turnReleased, turnsNotDone, turnsSwapped } from './turn-entries.ts';

// Worked out by hand; invented households. Largest remainder: Balinski and Young, Fair Representation (2nd edition), chapter 3 (Hamilton's method).

const weights = new Map([
  ['alder', parse('2')],
  ['birch', parse('2')],
  ['cedar', parse('5/2')],
]);
const rows = ({ postings }: EntryDraft): unknown[] =>
  postings
    .filter(({ amount }) => amount !== 0n)
    .map(({ account, amount, facts }) => [
      account.kind === 'household' ? account.householdId : account.kind,
      amount,
      facts?.['part'],
    ]);
const sumOf = ({ postings }: EntryDraft): bigint => postings.reduce((total, { amount }) => total + amount, 0n);

describe('entries of the book of turns', () => {
  it('take off what was given and add what is due by weight, the rest with the common account', () => {
    // Of three turns 12/13, 12/13 and 15/13; one of them nobody has yet.
    const entry = rotaPublished({
      weights,
      due: 3,
      given: new Map([
        ['alder', 1],
        ['cedar', 1],
      ]),
      seed: 'rota',
    });
    expect(rows(entry)).toEqual([
      ['alder', 923_077n, 'due'],
      ['alder', -1_000_000n, 'given'],
      ['birch', 923_077n, 'due'],
      ['cedar', 1_153_846n, 'due'],
      ['cedar', -1_000_000n, 'given'],
      ['common', -1_000_000n, undefined],
    ]);
    expect(sumOf(entry)).toBe(0n);
  });

  it('give back what was due of turns that nobody had', () => {
    const entry = turnsNotDone({ weights, turns: 3, seed: 'rota' }, { week: '2026-11-30' });
    expect(rows(entry)).toEqual([
      ['alder', -923_077n, 'due'],
      ['birch', -923_077n, 'due'],
      ['cedar', -1_153_846n, 'due'],
      ['common', 3_000_000n, undefined],
    ]);
    expect([entry.book, entry.kind, entry.postings[0]?.facts]).toEqual([
      'turns',
      'turns-not-done',
      { week: '2026-11-30', part: 'due', turns: 3, weight: '2', totalWeight: '13/2' },
    ]);
  });

  it('move one turn for one', () => {
    expect(rows(turnReleased('alder'))).toEqual([
      ['alder', 1_000_000n, 'gave-up'],
      ['common', -1_000_000n, undefined],
    ]);
    expect(rows(turnCovered('alder', 'birch'))).toEqual([
      ['alder', 1_000_000n, 'gave-up'],
      ['birch', -1_000_000n, 'took'],
    ]);
    expect(rows(turnCovered(null, 'birch'))).toEqual([
      ['common', 1_000_000n, undefined],
      ['birch', -1_000_000n, 'took'],
    ]);
    const swapped = turnsSwapped({ from: 'alder', facts: {} }, { from: 'birch', facts: {} });
    expect(rows(swapped)).toHaveLength(4);
    for (const name of ['alder', 'birch']) {
      const own = swapped.postings.filter(
        ({ account }) => account.kind === 'household' && account.householdId === name,
      );
      expect(own.reduce((total, { amount }) => total + amount, 0n)).toBe(0n);
    }
  });

  it.each([
    ['nothing to book', () => rotaPublished({ weights, due: 0, given: new Map(), seed: '' })],
    ['its own turn', () => turnCovered('alder', 'alder')],
    ['a swap with itself', () => turnsSwapped({ from: 'alder', facts: {} }, { from: 'alder', facts: {} })],
  ])('refuse %s', (_, make) => {
    expect(make).toThrow(DomainError);
  });
});
