import { drawer } from './share-out-instance.ts';

export interface SwapInstance {
  seed: string;
  offers: { id: string; household: string; dish: string; containers: number; portions: string; bestBefore: string }[];
  wants: { id: string; household: string; dish: string; containers: number; score: number }[];
  excludes: Record<string, string[]>;
  creditPortions: string;
  ringLimit?: 2 | 3;
}

const day = (n: number): string =>
  `2027-${String(1 + (n % 12)).padStart(2, '0')}-${String(1 + (n % 28)).padStart(2, '0')}`;

/** A made-up exchange of so many offers and as many wants, in containers of these sizes; the same for the same number. */
export function swapInstance(
  seed: number,
  offers: number,
  sizes: readonly string[] = ['2', '3', '4', '6'],
): SwapInstance {
  const draw = drawer(seed);
  const households = Math.max(4, Math.floor(offers / 4));
  const dishes = Math.max(3, Math.floor(offers / 20));
  const own = Array.from({ length: households }, () => new Set<number>());
  const given = Array.from({ length: offers }, (_, i) => {
    const [h, d] = [draw(households), draw(dishes)];
    own[h]?.add(d);
    return {
      ...{ id: `o${i}`, household: `h${h}`, dish: `d${d}`, containers: 1 + draw(3) },
      ...{ portions: sizes[draw(sizes.length)] ?? '2', bestBefore: day(draw(300)) },
    };
  });
  const wants = Array.from({ length: offers }, (_, i) => {
    const h = draw(households);
    let d = draw(dishes);
    for (let tries = 0; own[h]?.has(d) && tries < 20; tries++) d = draw(dishes);
    return { id: `w${i}`, household: `h${h}`, dish: `d${d}`, containers: 1 + draw(3), score: draw(7) - 1 };
  });
  return { seed: `exchange ${seed}`, offers: given, wants, excludes: {}, creditPortions: '6' };
}

/** Households that each offer one container of one size and would like one of any of three dishes, in rings of at most three. */
export function pairsInstance(seed: number, pairs: number): SwapInstance {
  const draw = drawer(seed);
  const dishes = Math.max(4, Math.floor(pairs / 4));
  const has = Array.from({ length: pairs }, () => draw(dishes));
  const offers = has.map((d, h) => ({
    ...{ id: `o${h}`, household: `h${h}`, dish: `d${d}`, containers: 1, portions: '3', bestBefore: day(draw(300)) },
  }));
  const wants = has.flatMap((mine, h) => {
    const liked = new Set(Array.from({ length: 3 }, () => draw(dishes)).filter((d) => d !== mine));
    return [...liked].map((d) => ({
      id: `w${h}-${d}`,
      household: `h${h}`,
      dish: `d${d}`,
      containers: 1,
      score: draw(4),
    }));
  });
  return { seed: `pairs ${seed}`, offers, wants, excludes: {}, creditPortions: '0', ringLimit: 3 };
}
