import { z } from 'zod';
import {
  id,
  instant,
  localDate,
  minor,
  minorAtLeastNil,
  minorDifference,
  named,
  rational,
  rationalAtLeastNil,
  shortText,
  version,
} from './primitives.ts';

/** Who sells: the fee of buying there at all, the goods from which it is waived (null: never), and the least that goods must come to. */
export const seller = z
  .object({
    id,
    name: z.string(),
    feeMinor: minor,
    freeFromMinor: minor.nullable(),
    minimumMinor: minor,
    version,
  })
  .meta({ id: 'Seller' });
export const sellers = z.object({ items: z.array(seller) }).meta({ id: 'Sellers' });
export const saveSeller = z
  .object({
    name: shortText,
    feeMinor: minorAtLeastNil.default('0'),
    freeFromMinor: minorAtLeastNil.nullable().default(null),
    minimumMinor: minorAtLeastNil.default('0'),
  })
  .meta({ id: 'SaveSeller' });
/** What changes of a seller; rounds that are bought already keep what it asked then. Errors: `conflict` when the name is taken. */
export const changeSeller = z
  .object({
    name: shortText.optional(),
    feeMinor: minorAtLeastNil.optional(),
    freeFromMinor: minorAtLeastNil.nullable().optional(),
    minimumMinor: minorAtLeastNil.optional(),
  })
  .meta({ id: 'ChangeSeller' });

/** A seller's price for a pack. `catchWeight`: priced by its actual weight. */
export const offer = z
  .object({
    id,
    seller: named,
    ingredient: named,
    label: z.string(),
    packQuantity: rational,
    packUnit: z.string(),
    priceMinor: minor,
    catchWeight: z.boolean(),
    /** fewest and most packs that are sold at this price; null: any */
    minPacks: z.int().nullable(),
    maxPacks: z.int().nullable(),
    validFrom: localDate,
    validTo: localDate.nullable(),
  })
  .meta({ id: 'Offer' });
export const offers = z.object({ items: z.array(offer) }).meta({ id: 'Offers' });
/** A new price; an earlier offer of the same seller, ingredient and pack ends the day before. Errors: `unknown-unit`, `units-incompatible`. */
export const saveOffer = z
  .object({
    sellerId: id,
    ingredientId: id,
    label: shortText,
    packQuantity: rationalAtLeastNil,
    packUnit: z.string().min(1).max(30),
    priceMinor: minorAtLeastNil,
    catchWeight: z.boolean().default(false),
    minPacks: z.int().min(1).max(100_000).nullable().default(null),
    maxPacks: z.int().min(1).max(100_000).nullable().default(null),
    validFrom: localDate,
  })
  .meta({ id: 'SaveOffer' });

/** One line of a seller's list: whole packs of an offer, what is needed exactly, and what was bought. */
export const purchase = z
  .object({
    id: id.nullable(),
    offerId: id,
    ingredient: named,
    label: z.string(),
    packQuantity: rational,
    packUnit: z.string(),
    packs: z.int(),
    priceMinor: minor,
    plannedMinor: minor,
    catchWeight: z.boolean(),
    needed: rational,
    neededUnit: z.string(),
    surplus: rational,
    bought: z.boolean(),
    paidMinor: minor.nullable(),
    version: version.nullable(),
  })
  .meta({ id: 'Purchase' });

/** The code on a pack and its date, as printed; what a recall is traced by. */
const printedLot = z.object({
  code: z.string().trim().min(1).max(60),
  bestBefore: localDate.nullable().default(null),
});
/** How one line was split: each household's weight and its minor units. */
const split = z.object({ household: named, share: rational, of: rational, amountMinor: minor });

export const receiptLine = z
  .object({
    id,
    kind: z.enum(['goods', 'fee', 'adjustment', 'refund']),
    label: z.string(),
    packs: z.int().nullable(),
    actualQuantity: rational.nullable(),
    unit: z.string().nullable(),
    amountMinor: minor,
    correctsLineId: id.nullable(),
    /** written down so far */
    lots: z.array(z.object({ id, code: z.string(), bestBefore: localDate.nullable() })),
    split: z.array(split),
  })
  .meta({ id: 'ReceiptLine' });
export const receipt = z
  .object({
    id,
    seller: named,
    paidBy: named,
    boughtOn: localDate,
    totalMinor: minor,
    note: z.string(),
    lines: z.array(receiptLine),
    createdAt: instant,
    createdBy: z.string(),
  })
  .meta({ id: 'Receipt' });

/** What a seller gets by the plan: goods, the fee that is due, and what makes it what it is. */
const sellerList = z.object({
  seller: named,
  goodsMinor: minor,
  feeMinor: minor,
  /** what the seller asks: its fee, the goods from which it is waived, the least order */
  asksMinor: minor,
  freeFromMinor: minor.nullable(),
  minimumMinor: minor,
  plannedMinor: minor,
  lines: z.array(purchase),
});

/** Why the plan is the cheapest: `next` is the cheapest plan without one of its sellers; `only` what nobody else sells. Kept as it was when buying began. */
const whyCheapest = z.object({
  /** optimal; bounded: a cheaper one may exist; single: each ingredient by itself */
  proof: z.enum(['optimal', 'bounded', 'single']),
  next: z.object({ without: named, sellers: z.array(named), totalMinor: minor }).nullable(),
  only: z.array(z.object({ seller: named, ingredients: z.array(named) })),
});

/** The shopping of a round: one list per seller with whole packs at the least cost over all sellers together, and the receipts. */
export const buying = z
  .object({
    roundId: id,
    stage: z.string(),
    plannedMinor: minor,
    spentMinor: minor,
    lists: z.array(sellerList),
    /** null for a round whose plan was not kept */
    why: whyCheapest.nullable(),
    /** ingredients without any offer */
    missing: z.array(z.object({ ingredient: named, needed: rational, unit: z.string() })),
    receipts: z.array(receipt),
  })
  .meta({ id: 'Buying' });

/** Tick of one line in the shop, and taking it back. */
export const tickPurchase = z.object({ bought: z.boolean() }).meta({ id: 'TickPurchase' });

const saveReceiptLine = z.object({
  kind: z.enum(['goods', 'fee']).default('goods'),
  purchaseId: id.nullable().default(null),
  ingredientId: id.nullable().default(null),
  label: shortText,
  packs: z.int().min(0).max(1000).nullable().default(null),
  actualQuantity: rationalAtLeastNil.nullable().default(null),
  unit: z.string().max(30).nullable().default(null),
  amountMinor: minorAtLeastNil,
  /** of goods only */
  lots: z.array(printedLot).max(10).default([]),
});
/** What was really paid, by which household, line by line; split at once by the weights of that day among those who can eat what the line goes into. Errors: `round-stage`, `participant-missing`. */
export const createReceipt = z
  .object({
    sellerId: id,
    paidByHouseholdId: id,
    boughtOn: localDate,
    note: z.string().trim().max(500).default(''),
    lines: z.array(saveReceiptLine).min(1).max(100),
  })
  .meta({ id: 'CreateReceipt' });

/** Corrects one line: `refund` gives it back whole, mirroring its split; `adjustment` is the difference (catch weight), with the shares of the line. */
export const correctReceiptLine = z
  .discriminatedUnion('kind', [
    z.object({ kind: z.literal('refund'), lineId: id, on: localDate, reason: shortText }),
    z.object({
      kind: z.literal('adjustment'),
      lineId: id,
      on: localDate,
      reason: shortText,
      differenceMinor: minorDifference,
      actualQuantity: rationalAtLeastNil.nullable().default(null),
    }),
  ])
  .meta({ id: 'CorrectReceiptLine' });
