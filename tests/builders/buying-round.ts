import type { buying, Problem, receipt } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Answer, Api, Client } from '../api/harness.ts';
import { buildCooperative, type BuiltCooperative } from './cooperative.ts';
import { HOUSEHOLDS, moveOn, startRound, stockPantry, type Pantry } from './pantry.ts';

export type Buying = z.infer<typeof buying>;
export type Receipt = z.infer<typeof receipt>;
export type Line = Receipt['lines'][number];
type List = Buying['lists'][number];

/** A cooperative of its own with a round that is being bought for, and what is done there again and again. */
export class BuyingRound {
  private constructor(
    readonly cooperative: BuiltCooperative,
    readonly pantry: Pantry,
    readonly roundId: string,
    readonly lists: Buying,
  ) {}

  static async build(api: Api): Promise<BuyingRound> {
    const cooperative = await buildCooperative(api, { households: HOUSEHOLDS });
    const pantry = await stockPantry(cooperative);
    const { id } = await startRound(cooperative, pantry);
    await moveOn(cooperative, id, 'buying');
    const lists = await cooperative.coordinator.ok<Buying>('GET', `${cooperative.path}/rounds/${id}/buying`);
    return new BuyingRound(cooperative, pantry, id, lists);
  }

  get who(): Client {
    return this.cooperative.coordinator;
  }

  get path(): string {
    return `${this.cooperative.path}/rounds/${this.roundId}`;
  }

  read(): Promise<Buying> {
    return this.who.ok('GET', `${this.path}/buying`);
  }

  household(name: string): string {
    return this.cooperative.household(name).id;
  }

  /** A receipt as typed. */
  receipt(seller: string, payer: string, lines: object[], more: object = {}): object {
    return {
      sellerId: this.pantry.sellers[seller]?.id,
      paidByHouseholdId: this.household(payer),
      boughtOn: '2026-11-26',
      lines,
      ...more,
    };
  }

  /** Everything on a seller's list at the price that was planned. */
  goods(seller: string): object[] {
    return listOf(this.lists, seller).lines.map(({ id, label, packs, plannedMinor }) => ({
      purchaseId: id,
      label,
      packs,
      amountMinor: plannedMinor,
    }));
  }

  enter(body: object, as: Client = this.who): Promise<Answer<Receipt & Problem>> {
    return as.call('POST', `${this.path}/receipts`, body);
  }

  correct(body: object): Promise<Answer<Receipt & Problem>> {
    return this.who.call('POST', `${this.path}/receipt-corrections`, body);
  }
}

export function listOf({ lists }: Buying, seller: string): List {
  const list = lists.find((each) => each.seller.name === seller);
  if (!list) throw new Error(`Nothing is bought at ${seller}`);
  return list;
}

export function lineOf({ lines }: Receipt, label: string): Line {
  const found = lines.find((each) => each.label.startsWith(label));
  if (!found) throw new Error(`There is no line ${label}`);
  return found;
}

/** What each household pays of a line, by name. */
export const paidBy = ({ split }: Line): Record<string, number> =>
  Object.fromEntries(split.map((each) => [each.household.name, Number(each.amountMinor)]));
