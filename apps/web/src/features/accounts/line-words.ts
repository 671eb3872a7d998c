import { rational, type Rational } from '@frostmoot/calc';
import type { Formats } from '../../lib/formats.ts';
import type { Translate } from '../../lib/locale.tsx';
import { portionAdjustmentWords, portionLineWords } from './portion-line-words.ts';
import { turnLineWords } from './turn-line-words.ts';
import type { StatementLine } from './account-queries.ts';

/** A line in words: what happened, then sentences that say why it is this amount. */
export interface LineWords {
  title: string;
  sentences: string[];
}

/** Whose statement it is, and whether that is the reader's own household. */
export interface Viewpoint {
  household: string;
  us: boolean;
  /** The date of the line that a line of this statement takes back. */
  dateOf: (entryId: string) => string | undefined;
}

/** What the words of a line are written with. */
export type LineFormats = Pick<Formats, 'money' | 'signedMoney' | 'quantity' | 'day'>;

export interface Wording {
  t: Translate;
  formats: LineFormats;
  currencyDigits: number;
  line: StatementLine;
  /** Facts by name, and what several messages name. */
  text: (name: string) => string;
  count: (name: string) => number;
  who: { who: 'us' | 'other'; household: string };
  view: Viewpoint;
}

/** The words of one line of a statement, from its kind and the facts that were booked with it. */
export function lineWords(
  line: StatementLine,
  view: Viewpoint,
  t: Translate,
  formats: LineFormats,
  currencyDigits: number,
): LineWords {
  const wording: Wording = {
    t,
    formats,
    currencyDigits,
    line,
    view,
    text: (name) => String(line.facts[name] ?? ''),
    count: (name) => Number(line.facts[name] ?? 0),
    who: { who: view.us ? 'us' : 'other', household: view.household },
  };
  return (
    moneyLineWords(wording) ??
    portionLineWords(wording) ??
    turnLineWords(wording) ?? { title: line.reason, sentences: [] }
  );
}

const quoted = ({ t }: Wording, reason: string): string[] => (reason === '' ? [] : [t('accounts.because', { reason })]);

function moneyLineWords(wording: Wording): LineWords | null {
  switch (wording.line.kind) {
    case 'receipt-paid':
      return receiptWords(wording);
    case 'cost-split':
      return partWords(wording);
    case 'adjustment':
      if (['bought-out', 'taken-over'].includes(wording.text('part'))) return boughtOutWords(wording);
      return portionAdjustmentWords(wording) ?? correctionWords(wording);
    case 'payment':
      return paymentWords(wording);
    case 'reversal':
      return reversalWords(wording);
    case 'write-off':
      return writeOffWords(wording);
    case 'opening':
      return { title: wording.t('accounts.opening'), sentences: quoted(wording, wording.line.reason) };
    default:
      return null;
  }
}

/** What a leaver was paid or paid for its portions, and what those who stay took over; in both books alike. */
function boughtOutWords({ t, formats, text, count }: Wording): LineWords {
  const micro = text('leaverPortionsMicro').replace('-', '') || '0';
  const portions = formats.quantity(rational.rational(BigInt(micro), 1_000_000n));
  const cost = formats.money(rational.round(rational.parse(text('costPerPortionMinor') || '0')).toString());
  const price = t('accounts.boughtOut.words', { portions, cost, round: count('round') });
  if (text('part') === 'bought-out') return { title: t('accounts.boughtOut'), sentences: [price] };
  return {
    title: t('accounts.takenOver', { household: text('leaver') }),
    sentences: [t('accounts.takenOver.words', { portions }), price],
  };
}

const isNegative = (amount: string): boolean => amount.startsWith('-');

function receiptWords({ t, formats, line, text, count, who }: Wording): LineWords {
  const values = { ...who, seller: text('seller') };
  return {
    title: isNegative(line.amount) ? t('accounts.receiptBack', values) : t('accounts.receiptPaid', values),
    sentences: [
      t('accounts.receiptPaid.detail', { lines: count('lines'), total: formats.money(text('totalMinor') || '0') }),
    ],
  };
}

function partWords(wording: Wording): LineWords {
  const { t, formats, text, count, who, view } = wording;
  const payer = text('paidBy');
  const seller = text('seller');
  const title =
    payer === ''
      ? t('accounts.part.unknown', { who: who.who, seller })
      : payer === view.household
        ? t('accounts.part.own', { ...who, seller })
        : t('accounts.part.other', { who: who.who, payer, seller });
  const sharesAll = text('sharedMinor') === text('totalMinor');
  const shared = t('accounts.part.shared', {
    lines: count('lines'),
    shared: formats.money(text('sharedMinor') || '0'),
    total: formats.money(text('totalMinor') || '0'),
    who: who.who,
  });
  return { title, sentences: [...(sharesAll ? [] : [shared]), ...fraction(wording)] };
}

function correctionWords(wording: Wording): LineWords {
  const { t, line, text, who } = wording;
  const label = text('label');
  const at =
    text('seller') === '' ? [] : [t('accounts.corrected.at', { seller: text('seller'), payer: text('paidBy') })];
  if (line.facts['share'] === undefined) {
    const values = { ...who, label };
    const title = isNegative(line.amount) ? t('accounts.corrected.less', values) : t('accounts.corrected.more', values);
    return { title, sentences: [...quoted(wording, line.reason), ...at] };
  }
  const values = { who: who.who, label };
  return {
    title:
      text('correction') === 'refund' ? t('accounts.corrected.refund', values) : t('accounts.corrected.part', values),
    sentences: [...quoted(wording, line.reason), ...at, ...fraction(wording)],
  };
}

/** The sum that can be checked by hand, and what rounding took. */
function fraction(wording: Wording): string[] {
  const { t, formats, line, text, currencyDigits } = wording;
  if (line.facts['share'] === undefined) return [];
  const head = {
    shared: formats.money(text('sharedMinor') || '0'),
    share: formats.quantity(text('share')),
  };
  const exact = exactOf(wording);
  if (exact === null) return [];
  const written = major(wording, exact, 2);
  const sentences = [
    text('of') === ''
      ? t('accounts.fractionMixed', { ...head, exact: written })
      : t('accounts.fraction', { ...head, of: formats.quantity(text('of')), exact: written }),
  ];
  const charged = rational.rational(-BigInt(line.amount));
  const difference = rational.sub(charged, exact);
  if (difference.n !== 0n) {
    const size = difference.n < 0n ? rational.sub(exact, charged) : difference;
    sentences.push(
      t('accounts.rounded', {
        charged: formats.quantity(scaled(charged, currencyDigits), { least: currencyDigits, most: currencyDigits }),
        difference: major(wording, size, 2),
      }),
    );
  }
  if (text('roundingMinor') !== '') {
    sentences.push(t('accounts.evensOut', { amount: formats.signedMoney(text('roundingMinor')) }));
  }
  return sentences;
}

/** The household's part before rounding: as it was booked, or by its share where that is one fraction of all. */
function exactOf({ line, text }: Wording): Rational | null {
  if (line.facts['exactMinor'] !== undefined) return rational.parse(text('exactMinor'));
  if (text('of') === '') return null;
  const shared = rational.rational(BigInt(text('sharedMinor') || '0'));
  return rational.mul(shared, rational.div(rational.parse(text('share')), rational.parse(text('of'))));
}

const scaled = (minor: Rational, digits: number): Rational =>
  rational.div(minor, rational.rational(10n ** BigInt(digits)));

/** Minor units as an amount with some digits more than the currency has. */
const major = ({ formats, currencyDigits }: Wording, minor: Rational, more: number): string =>
  formats.quantity(scaled(minor, currencyDigits), { least: currencyDigits, most: currencyDigits + more });

function paymentWords(wording: Wording): LineWords {
  const { t, line, text, who } = wording;
  const values = { who: who.who, from: text('from'), to: text('to') };
  return {
    title: isNegative(line.amount) ? t('accounts.payment.got', values) : t('accounts.payment.paid', values),
    sentences: quoted(wording, text('note')),
  };
}

function reversalWords(wording: Wording): LineWords {
  const { t, formats, line, text, view } = wording;
  const date = line.reverses === null ? undefined : view.dateOf(line.reverses);
  const isPayment = text('reversedKind') === 'payment';
  return {
    title: isPayment ? t('accounts.takenBack', { from: text('from'), to: text('to') }) : t('accounts.takenBackAny'),
    sentences: [
      ...quoted(wording, line.reason),
      ...(date === undefined ? [] : [t('accounts.takenBackOf', { date: formats.day(date, 'dated') })]),
    ],
  };
}

const writeOffWords = (wording: Wording): LineWords => ({
  title: isNegative(wording.line.amount) ? wording.t('accounts.writeOff.less') : wording.t('accounts.writeOff.more'),
  sentences: quoted(wording, wording.line.reason),
});
