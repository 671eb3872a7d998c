import { describe, expect, it } from '@jest/globals';
import { readFileSync } from 'node:fs';
import { formatDay } from '../../lib/format/dates.ts';
import { formatMoney, formatQuantity } from '../../lib/format/numbers.ts';
import type { Translate } from '../../lib/locale.tsx';
import { compileMessage } from '../../lib/messages/compile.ts';
import { formatText } from '../../lib/messages/format-message.ts';
import { formatLocale, LANGUAGES, type Language } from '../../lib/messages/languages.ts';
import type { StatementLine } from './account-queries.ts';
import { lineWords, type LineFormats } from './line-words.ts';

const euro = { currency: 'EUR', currencyDigits: 2 };

function formatsIn(locale: string): LineFormats {
  return {
    money: (minor) => formatMoney(minor, locale, euro),
    signedMoney: (minor) => formatMoney(minor, locale, euro, { sign: 'exceptZero' }),
    quantity: (value, digits = { least: 0, most: 2 }, sign = 'auto') => formatQuantity(value, locale, digits, sign),
    day: (date, form = 'day') => formatDay(date, locale, form),
  };
}

function translating(language: Language): Translate {
  const path = `${import.meta.dirname}/../../lib/messages/${language}/accounts.json`;
  const messages = JSON.parse(readFileSync(path, 'utf8')) as Record<string, string>;
  return (key, values) =>
    formatText(
      compileMessage(messages[key.replace('accounts.', '')] ?? '', key),
      language,
      formatLocale(language),
      values,
    );
}

const line = (kind: string, amount: string, facts: StatementLine['facts'], more: Partial<StatementLine> = {}) => ({
  entryId: 'e1',
  kind,
  on: '2026-11-19',
  reason: '',
  facts,
  amount,
  balance: amount,
  reverses: null,
  reversed: false,
  documentId: null,
  roundNumber: 14,
  by: 'Ada',
  at: '2026-11-19T10:00:00.000Z',
  ...more,
});

const view = { household: 'Alder', us: true, dateOf: (id: string) => (id === 'e0' ? '2026-11-07' : undefined) };
const say = (one: StatementLine, us = true, language: Language = 'en') =>
  lineWords(one, { ...view, us }, translating(language), formatsIn(formatLocale(language)), 2);

const receipt = { seller: 'North Stall', paidBy: 'Birch', lines: 3, totalMinor: '6980' };
const part = { ...receipt, sharedMinor: '6980', share: '3', of: '18', exactMinor: '3490/3' };

describe('the words of a statement line', () => {
  it('says who paid what, the fraction, and the part of a cent that rounding took', () => {
    expect(say(line('cost-split', '-1163', part))).toEqual({
      title: 'Your part of what Birch paid at North Stall',
      sentences: [
        '€69.80 by headcount: 3 of 18 is 11.6333.',
        'Charged 11.63; the difference of 0.0033 is carried over.',
      ],
    });
  });

  it('says nothing of rounding where the part comes out even', () => {
    expect(say(line('cost-split', '-1163', { ...part, exactMinor: '1163' })).sentences).toHaveLength(1);
  });

  it('reckons the part from the fraction where it was not booked', () => {
    const { exactMinor: _, ...older } = part;
    expect(say(line('cost-split', '-1163', older)).sentences[0]).toBe('€69.80 by headcount: 3 of 18 is 11.6333.');
  });

  it('names the own receipt as such, and only the lines that are shared', () => {
    const facts = { ...part, paidBy: 'Alder', sharedMinor: '5000', exactMinor: '2500/3' };
    const { title, sentences } = say(line('cost-split', '-833', facts));
    expect(title).toBe('Your part of what you paid at North Stall');
    expect(sentences[0]).toBe('3 lines for €50.00 of €69.80, where you can eat what was made of it.');
  });

  it('speaks of another household by its name', () => {
    expect(say(line('receipt-paid', '6980', { ...receipt, paidBy: 'Alder' }), false).title).toBe(
      'Alder paid at North Stall',
    );
    expect(say(line('payment', '840', { from: 'Alder', to: 'Birch' }), false).title).toBe('Alder paid Birch');
    expect(say(line('payment', '-840', { from: 'Birch', to: 'Alder' }), false).title).toBe('Birch paid Alder');
  });

  it('tells a payment that was made from one that arrived, with its note', () => {
    const facts = { from: 'Alder', to: 'Birch', note: 'by transfer' };
    expect(say(line('payment', '840', facts))).toEqual({ title: 'You paid Birch', sentences: ['“by transfer”.'] });
    expect(say(line('payment', '-840', { from: 'Birch', to: 'Alder' })).title).toBe('Birch paid you');
  });

  it('names the payment that a line takes back, why, and its date', () => {
    const facts = { from: 'Alder', to: 'Birch', reversedKind: 'payment' };
    const back = line('reversal', '-840', facts, { reason: 'typed twice', reverses: 'e0' });
    expect(say(back)).toEqual({
      title: 'Taken back: Alder paid Birch',
      sentences: ['“typed twice”.', 'Entered for 7 Nov 2026.'],
    });
  });

  it('tells the payer’s side of a correction from a household’s part of it', () => {
    const facts = { label: 'Tray of mince', correction: 'adjustment', seller: 'North Stall', paidBy: 'Alder' };
    const paid = line('adjustment', '170', facts, { reason: 'weighed 3.41 kg' });
    expect(say(paid)).toEqual({
      title: 'You paid more for Tray of mince',
      sentences: ['“weighed 3.41 kg”.', 'Paid at North Stall by Alder.'],
    });
    const ours = line('adjustment', '-28', { ...facts, sharedMinor: '170', share: '3', of: '18', exactMinor: '85/3' });
    expect(say(ours).title).toBe('Your part of the correction: Tray of mince');
    expect(say(line('adjustment', '-170', facts)).title).toBe('You got money back for Tray of mince');
  });

  const due = { part: 'due', round: 2, totalPortions: 65, weight: '5/2', totalWeight: '15', entitlement: '65/6' };

  it('reckons what is due by headcount, and says so differently where it is not the plain fraction', () => {
    expect(say(line('share-out', '10833333', due))).toEqual({
      title: 'Due from round 2',
      sentences: ['65 portions by headcount: 2.5 of 15 is 10.8333.'],
    });
    expect(say(line('share-out', '12000000', { ...due, entitlement: '12' })).sentences[0]).toContain(
      'each dish among those who can eat it: 12',
    );
  });

  it('says what was received against what was aimed at', () => {
    expect(say(line('share-out', '-11000000', { ...due, part: 'received', target: '32/3' }))).toEqual({
      title: 'Received in round 2',
      sentences: ['In whole containers; 10.67 was the aim, with what was open before.'],
    });
  });

  it.each([
    ['gave', { from: 'Alder', to: 'Birch' }, 'Given to Birch: Barley pot'],
    ['got', { from: 'Alder', to: 'Birch' }, 'Received from Birch: Barley pot'],
    ['gave', { from: 'Birch', to: 'Alder' }, 'Given to Birch: Barley pot'],
  ])('names the other household of a swap, whoever proposed it (%s)', (side, names, title) => {
    const facts = { ...names, part: side, code: 'R2-A1-3', dish: 'Barley pot', portions: 4 };
    expect(say(line('swap', '4000000', facts))).toEqual({ title, sentences: ['R2-A1-3, 4 portions.'] });
  });

  it('falls back on the reason that was booked for a kind it does not know', () => {
    expect(say(line('something-new', '1', {}, { reason: 'Because' }))).toEqual({ title: 'Because', sentences: [] });
  });

  const kinds: [string, StatementLine['facts']][] = [
    ['receipt-paid', receipt],
    ['cost-split', { ...part, sharedMinor: '6000', roundingMinor: '1' }],
    ['adjustment', { label: 'Tray', correction: 'refund', seller: 'N', paidBy: 'Birch' }],
    ['adjustment', { ...part, label: 'Tray', correction: 'refund' }],
    ['adjustment', { part: 'bought-out' }],
    [
      'adjustment',
      { part: 'taken-over', leaver: 'Cedar', leaverPortionsMicro: '-1200000', costPerPortionMinor: '401/2' },
    ],
    ['payment', { from: 'Alder', to: 'Birch', note: 'x' }],
    ['write-off', {}],
    ['opening', {}],
    ['reversal', { reversedKind: 'payment', from: 'Alder', to: 'Birch' }],
    ['reversal', { reversedKind: 'loss' }],
    ['share-out', due],
    ['share-out', { ...due, part: 'received', target: '3' }],
    ['claim', { code: 'R2-A1-3', dish: 'Pot', portions: 2 }],
    ['release', { code: 'R2-A1-3', dish: 'Pot', portions: 1 }],
    ['loss', { code: 'R2-A1-3', dish: 'Pot', portions: 11 }],
    ['swap', { from: 'Alder', to: 'Birch', part: 'got', code: 'R2-A1-3', dish: 'Pot', portions: 3 }],
  ];
  const everywhere = LANGUAGES.flatMap((language) => kinds.map(([kind, facts]) => ({ language, kind, facts })));

  it.each(everywhere)('has a title and whole sentences for $kind in $language', ({ language, kind, facts }) => {
    for (const us of [true, false]) {
      for (const amount of ['100', '-100']) {
        const { title, sentences } = say(line(kind, amount, facts, { reason: 'why', reverses: 'e0' }), us, language);
        expect(title).toMatch(/\p{L}/u);
        for (const sentence of [title, ...sentences]) expect(sentence).not.toMatch(/[{}]|undefined|NaN/);
      }
    }
  });
});
