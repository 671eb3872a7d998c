/** Numbers that look like chance and are the same every time. */
function drawing(seed: number): (least: number, most: number) => number {
  let state = seed >>> 0;
  return (least, most) => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return least + Math.floor((state / 2 ** 32) * (most - least + 1));
  };
}

/** Which of the ways in which sellers make a plan hard are there. */
export interface MarketTerms {
  /** percent of sellers that deliver for nothing from some amount on */
  freeFrom: number;
  /** percent of sellers with a minimum order */
  minimumOrder: number;
}

interface Offer {
  id: string;
  seller: string;
  ingredient: string;
  pack: string;
  unit: string;
  price: string;
  minPacks?: number;
  maxPacks?: number;
}

const sizes = [250, 500, 1000, 2500, 5000];

/** The input of a buy-plan: needs of 150 g to 4 kg, sellers that have most of them in some sizes, larger packs being cheaper by weight. */
export function market(seed: number, needCount: number, sellerCount: number, terms: MarketTerms) {
  const draw = drawing(seed);
  const sellers = Array.from({ length: sellerCount }, (_, index) => ({
    id: `s${index}`,
    fee: String(draw(3, 9) * 100 - 5),
    ...(draw(1, 100) <= terms.freeFrom ? { freeFrom: String(draw(200, 600) * needCount) } : {}),
    ...(draw(1, 100) <= terms.minimumOrder ? { minimumOrder: String(draw(50, 250) * needCount) } : {}),
  }));
  const offers: Offer[] = [];
  const needs = Array.from({ length: needCount }, (_, index) => {
    const ingredient = `i${index}`;
    const perKilogram = draw(200, 1600);
    const offer = (seller: number, grams: number, level: number): Offer => {
      const price = Math.round((perKilogram * level * grams * (115 - 5 * Math.log2(grams / 250))) / 10_000_000);
      const limits = draw(1, 100) <= 8 ? { minPacks: draw(1, 2), maxPacks: draw(3, 5) } : {};
      const id = `${ingredient}-s${seller}-${grams}`;
      return { id, seller: `s${seller}`, ingredient, pack: String(grams), unit: 'g', price: String(price), ...limits };
    };
    for (let seller = 0; seller < sellerCount; seller += 1) {
      if (draw(1, 100) > 70) continue;
      const level = draw(80, 120);
      offers.push(...sizes.filter(() => draw(1, 100) <= 45).map((grams) => offer(seller, grams, level)));
    }
    // One that is always to be had, so that there is a plan.
    const { minPacks: _least, maxPacks: _most, ...last } = offer(draw(0, sellerCount - 1), 1000, 125);
    offers.push({ ...last, id: `${ingredient}-always` });
    const storable = draw(1, 100) <= 30 && {
      storable: { upTo: String(draw(1, 20) * 100), valuePerUnit: `${Math.ceil(perKilogram / draw(150, 300))}/10` },
    };
    return { ingredient, quantity: String(draw(3, 80) * 50), unit: 'g', ...(storable || {}) };
  });
  return { currency: 'EUR', needs, sellers, offers };
}
