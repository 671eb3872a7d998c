import type { Rational } from '../rational.ts';
import { add, cmp, min, mul, rational, sub, zero } from '../rational.ts';
import type { BuyPlanInput, Need, Offer, Seller } from './buy-plan-input.ts';

const whole = (count: number): Rational => rational(BigInt(count));

/** What buying for so much at a seller costs in fees; undefined when it is below the minimum order. */
function feeOf({ fee, freeFrom, minimumOrder }: Seller, goods: number, packs: number): number | undefined {
  if (packs === 0) return 0;
  if (goods < minimumOrder) return undefined;
  return freeFrom !== undefined && goods >= freeFrom ? 0 : fee;
}

/** What the surplus of a need is worth when so much is bought; undefined when it is not enough. */
function worthOf({ quantity, storable }: Need, bought: Rational): Rational | undefined {
  const over = sub(bought, quantity);
  if (cmp(over, zero) < 0) return undefined;
  return storable ? mul(min(over, storable.upTo), storable.valuePerUnit) : zero;
}

/**
 * An offer of which one pack could be left out, or be a pack of another offer of the same ingredient instead, for less money: then the plan is not the
 * cheapest. Undefined when there is none, which does not say that it is. `packs`: a plan that keeps every limit.
 */
export function cheaperOffer(input: BuyPlanInput, packs: ReadonlyMap<string, number>): string | undefined {
  const sellers = new Map(input.sellers.map((seller) => [seller.id, seller]));
  const goods = new Map<string, number>();
  const bought = new Map<string, number>();
  for (const { id, seller, price } of input.offers) {
    goods.set(seller, (goods.get(seller) ?? 0) + price * (packs.get(id) ?? 0));
    bought.set(seller, (bought.get(seller) ?? 0) + (packs.get(id) ?? 0));
  }
  /** By how much a change of some packs of one ingredient makes the plan dearer; undefined when it is not allowed. */
  const dearerBy = (need: Need, offers: readonly Offer[], change: ReadonlyMap<Offer, number>): Rational | undefined => {
    let before = zero;
    let after = zero;
    const there = new Map<string, [number, number]>();
    for (const offer of offers) {
      const count = packs.get(offer.id) ?? 0;
      const more = change.get(offer) ?? 0;
      const now = count + more;
      if (more !== 0 && now !== 0 && (now < offer.least || now > offer.most)) return undefined;
      before = add(before, mul(offer.pack, whole(count)));
      after = add(after, mul(offer.pack, whole(now)));
      const [spent, taken] = there.get(offer.seller) ?? [0, 0];
      if (more !== 0) there.set(offer.seller, [spent + offer.price * more, taken + more]);
    }
    const [old, now] = [worthOf(need, before), worthOf(need, after)];
    if (!old || !now) return undefined;
    let dearer = sub(old, now);
    for (const [id, [spent, taken]] of there) {
      const seller = sellers.get(id);
      const [g, n] = [goods.get(id) ?? 0, bought.get(id) ?? 0];
      const [fee, feeAfter] = seller ? [feeOf(seller, g, n), feeOf(seller, g + spent, n + taken)] : [0, 0];
      if (feeAfter === undefined) return undefined;
      dearer = add(dearer, whole(spent + feeAfter - (fee ?? 0)));
    }
    return dearer;
  };
  for (const need of input.needs) {
    const offers = input.offers.filter(({ ingredient }) => ingredient === need.ingredient);
    for (const offer of offers) {
      const count = packs.get(offer.id) ?? 0;
      if (count === 0) continue;
      // Where a few packs are the least that may be bought, all of them go.
      const fewer = count > offer.least ? 1 : count;
      const changes = [new Map([[offer, -fewer]])];
      for (const other of offers) {
        if (other !== offer)
          changes.push(
            new Map([
              [offer, -fewer],
              [other, (packs.get(other.id) ?? 0) > 0 ? 1 : Math.max(1, other.least)],
            ]),
          );
      }
      for (const change of changes) {
        const dearer = dearerBy(need, offers, change);
        if (dearer && cmp(dearer, zero) < 0) return offer.id;
      }
    }
  }
  return undefined;
}
