import { drawOrder } from '../allocation/draw.ts';
import { byCodeUnits } from '../canonical.ts';
import { daysBetween, parseDate } from '../dates/civil-date.ts';
import { floor, mul, rational } from '../rational.ts';
import { commonDenominator, scaled } from '../share-out/scale.ts';
import type { SwapMatchInput, SwapOffer, SwapWant } from './swap-input.ts';

/** An offer in numbers. `hub`: of its dish and size; `parts`: portions of one container; `days`: from the earliest best-before date of all to its own. */
export interface Giving {
  offer: SwapOffer;
  household: number;
  hub: number;
  containers: number;
  parts: number;
  days: number;
}

/** A want in numbers, with the hubs that can meet it. */
export interface Getting {
  want: SwapWant;
  household: number;
  hubs: readonly number[];
  containers: number;
  score: number;
}

/** A matching with numbers for names. Offers that nobody can take and wants that nobody can meet are left out. A hub is a dish in containers of one size. */
export interface SwapProblem {
  seed: string;
  households: readonly string[];
  hubs: readonly { dish: string; parts: number }[];
  givings: readonly Giving[];
  gettings: readonly Getting[];
  /** parts of a portion, and the credit in such parts */
  partsPerPortion: bigint;
  credit: number;
  ringLimit?: 2 | 3;
}

function drawn<T extends { id: string }>(seed: string, members: readonly T[]): T[] {
  const byId = new Map(members.map((member) => [member.id, member]));
  return drawOrder(seed, byId.keys()).flatMap((id) => byId.get(id) ?? []);
}

/** More credit than all that there is changes nothing. */
const mostCredit = 10n ** 12n;

/**
 * What can be matched at all. A want for what its household may not eat, or offers itself, is passed over: nobody gets the dish back that it gives away.
 * Offers and wants stand in an order drawn by lot from the seed, so that nothing depends on how the input was written.
 */
export function swapProblem(input: SwapMatchInput): SwapProblem {
  const { seed, excludes } = input;
  const key = (household: string, dish: string): string => JSON.stringify([household, dish]);
  const offered = new Set(input.offers.map(({ household, dish }) => key(household, dish)));
  const wants = drawn(`wants ${seed}`, input.wants).filter(
    ({ household, dish, containers }) =>
      containers > 0 && !excludes.get(household)?.has(dish) && !offered.has(key(household, dish)),
  );
  const wanted = new Set(wants.map(({ dish }) => dish));
  const offers = drawn(`offers ${seed}`, input.offers).filter(
    ({ dish, containers }) => containers > 0 && wanted.has(dish),
  );
  const households = drawOrder(`households ${seed}`, new Set([...offers, ...wants].map(({ household }) => household)));
  const numberOf = new Map(households.map((id, h) => [id, h]));
  const partsPerPortion = commonDenominator(offers.map(({ portions }) => portions));
  const partsOf = ({ portions }: SwapOffer): number => Number(scaled(portions, partsPerPortion));
  const hubs = [...new Map(offers.map((offer) => [key(offer.dish, `${partsOf(offer)}`), offer])).values()]
    .map((offer) => ({ dish: offer.dish, parts: partsOf(offer) }))
    .sort((a, b) => byCodeUnits(a.dish, b.dish) || a.parts - b.parts);
  const [earliest = '0001-01-01'] = offers.map(({ bestBefore }) => bestBefore).sort(byCodeUnits);
  const credit = floor(mul(input.creditPortions, rational(partsPerPortion)));
  return {
    seed,
    households,
    hubs,
    givings: offers.map((offer) => ({
      offer,
      household: numberOf.get(offer.household) ?? 0,
      hub: hubs.findIndex(({ dish, parts }) => dish === offer.dish && parts === partsOf(offer)),
      containers: offer.containers,
      parts: partsOf(offer),
      days: daysBetween(parseDate(earliest), parseDate(offer.bestBefore)),
    })),
    gettings: wants
      .filter(({ dish }) => hubs.some((hub) => hub.dish === dish))
      .map((want) => ({
        want,
        household: numberOf.get(want.household) ?? 0,
        hubs: hubs.flatMap(({ dish }, hub) => (dish === want.dish ? [hub] : [])),
        containers: want.containers,
        score: want.score,
      })),
    partsPerPortion,
    credit: Number(credit > mostCredit ? mostCredit : credit),
    ringLimit: input.ringLimit,
  };
}

/** Containers that leave each offer, and that each want gets from each hub (by the place of the hub in the want's list). */
export interface SwapFlow {
  given: Int32Array;
  got: Int32Array[];
}

export const noFlow = ({ givings, gettings }: SwapProblem): SwapFlow => ({
  given: new Int32Array(givings.length),
  got: gettings.map(({ hubs }) => new Int32Array(hubs.length)),
});

/** What a matching is worth, in the order of importance; larger is better for portions and scores, smaller for days. */
export interface SwapWorth {
  /** parts of portions that change hands */
  parts: number;
  /** sum over containers of parts x days from the earliest best-before date */
  partDays: number;
  score: number;
}

export function worthOf({ givings, gettings }: SwapProblem, { given, got }: SwapFlow): SwapWorth {
  const worth = { parts: 0, partDays: 0, score: 0 };
  givings.forEach(({ parts, days }, g) => {
    worth.parts += parts * (given[g] ?? 0);
    worth.partDays += parts * days * (given[g] ?? 0);
  });
  gettings.forEach(({ score }, g) => {
    worth.score += score * (got[g] ?? new Int32Array(0)).reduce((a, b) => a + b, 0);
  });
  return worth;
}

/** Above nil when the first is better. */
export const compareWorth = (a: SwapWorth, b: SwapWorth): number =>
  a.parts - b.parts || b.partDays - a.partDays || a.score - b.score;
