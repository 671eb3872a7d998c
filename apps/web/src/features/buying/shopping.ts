import { rational } from '@frostmoot/calc';
import type { Schemas } from '../../lib/api/schemas.ts';
import { labelQuantity } from './weighed.ts';

export type Buying = Schemas['Buying'];
export type SellerList = Buying['lists'][number];
export type Purchase = Schemas['Purchase'];
export type Receipt = Schemas['Receipt'];

/** What the buyer has noted in the shop for a line: what it weighs and what it costs. Kept on the device until the receipt is entered. */
export interface Noted {
  quantity: string | null;
  amountMinor: string;
}
export type Notes = Readonly<Record<string, Noted>>;

/** A purchase's own key: its id once the round is being bought, before that its offer. */
export const keyOf = (purchase: Purchase): string => purchase.id ?? purchase.offerId;

/** What a line costs as far as is known: paid, else noted in the shop, else planned. */
export const costOf = (purchase: Purchase, notes: Notes): bigint =>
  BigInt(purchase.paidMinor ?? notes[keyOf(purchase)]?.amountMinor ?? purchase.plannedMinor);

export interface Till {
  /** What the ticked lines cost. */
  spent: bigint;
  /** What the whole list comes to at the till. */
  expected: bigint;
  planned: bigint;
  boughtCount: number;
  count: number;
}

/** One seller's list summed up: so far, expected, planned. The seller's fee is part of what is expected. */
export function tillOf(list: SellerList, notes: Notes): Till {
  const bought = list.lines.filter((line) => line.bought);
  const sum = (lines: readonly Purchase[]) => lines.reduce((total, line) => total + costOf(line, notes), 0n);
  const fee = BigInt(list.feeMinor);
  return {
    spent: sum(bought) + (bought.length > 0 ? fee : 0n),
    expected: sum(list.lines) + fee,
    planned: BigInt(list.plannedMinor),
    boughtCount: bought.length,
    count: list.lines.length,
  };
}

/** The line in hand: the first one that is still to buy and priced by weight, since it needs more than a tick. */
export const lineInHand = (list: SellerList): Purchase | undefined =>
  list.lines.find((line) => !line.bought && line.catchWeight);

/** Whether the seller's lines are all paid by a receipt. */
export const isPaid = (list: SellerList): boolean =>
  list.lines.length > 0 && list.lines.every((line) => line.paidMinor !== null);

export interface ReceiptLineDraft {
  purchaseId: string | null;
  /** For goods that no list had. */
  ingredientId: string | null;
  label: string;
  kind: 'goods' | 'fee';
  packs: number | null;
  /** Plain decimal text. */
  quantity: string | null;
  unit: string | null;
  amountMinor: string | null;
  plannedMinor: string | null;
  /** Left out of the receipt: it was not there, or is on another one. */
  isLeftOut: boolean;
  catchWeight: boolean;
  /** As printed on the pack; none asked for or known while null. */
  lot: { code: string; bestBefore: string } | null;
}

const decimalOf = (packs: number, packQuantity: string): string =>
  rational.toDecimal(labelQuantity(packs, packQuantity), 3).replace(/\.?0+$/, '');

/** The receipt as it would be if all went to plan, with what was noted in the shop; lines not ticked are left out where any is ticked. */
export function receiptFrom(list: SellerList, notes: Notes, feeLabel: string): ReceiptLineDraft[] {
  const open = list.lines.filter((line) => line.paidMinor === null);
  const anyTicked = open.some((line) => line.bought);
  const goods = open.map((line): ReceiptLineDraft => {
    const noted = notes[keyOf(line)];
    return {
      purchaseId: line.id,
      ingredientId: null,
      label: line.label,
      kind: 'goods',
      packs: line.packs,
      quantity: noted?.quantity ?? decimalOf(line.packs, line.packQuantity),
      unit: line.packUnit,
      amountMinor: noted?.amountMinor ?? line.plannedMinor,
      plannedMinor: line.plannedMinor,
      isLeftOut: anyTicked && !line.bought,
      catchWeight: line.catchWeight,
      lot: null,
    };
  });
  // The fee is paid with the first receipt of the list.
  const isFeeOpen = BigInt(list.feeMinor) > 0n && list.lines.every((line) => line.paidMinor === null);
  if (!isFeeOpen) return goods;
  return [...goods, feeLine(feeLabel, list.feeMinor)];
}

const ownLine = (kind: 'goods' | 'fee', label: string, amountMinor: string | null): ReceiptLineDraft => ({
  purchaseId: null,
  ingredientId: null,
  label,
  kind,
  packs: null,
  quantity: null,
  unit: null,
  amountMinor,
  plannedMinor: null,
  isLeftOut: false,
  catchWeight: false,
  lot: null,
});

export const feeLine = (label: string, amountMinor: string | null): ReceiptLineDraft =>
  ownLine('fee', label, amountMinor);
export const goodsLine = (): ReceiptLineDraft => ownLine('goods', '', null);

export const receiptTotal = (lines: readonly ReceiptLineDraft[]): bigint =>
  lines.reduce(
    (total, line) => (line.isLeftOut || line.amountMinor === null ? total : total + BigInt(line.amountMinor)),
    0n,
  );

type SentLine = Schemas['CreateReceipt']['lines'][number];

/** The lines that go onto the receipt, each with its place in the draft, since the server names wrong fields by the place among those sent. */
export function sentLines(lines: readonly ReceiptLineDraft[]): { index: number; line: SentLine }[] {
  return lines.flatMap((line, index) => {
    if (line.isLeftOut) return [];
    const { kind, purchaseId, ingredientId, label, packs, quantity, unit, amountMinor } = line;
    const lot = kind === 'goods' && line.lot && line.lot.code.trim() !== '' ? line.lot : null;
    const hasQuantity = kind === 'goods' && quantity !== null;
    const sent: SentLine = {
      kind,
      purchaseId,
      ingredientId,
      label,
      packs,
      actualQuantity: hasQuantity ? quantity : null,
      unit: hasQuantity ? unit : null,
      amountMinor: amountMinor ?? '0',
      lots: lot ? [{ code: lot.code.trim(), bestBefore: lot.bestBefore === '' ? null : lot.bestBefore }] : [],
    };
    return [{ index, line: sent }];
  });
}
