import { byCodeUnits, sortedRecord } from '../canonical.ts';
import { DomainError } from '../domain-error.ts';
import { fromMicroPortions } from '../ledger/micro-portions.ts';
import { format, isZero, parse } from '../rational.ts';
import { mayEat } from '../rounds/cost-shares.ts';

/** A sealed container of the round in the common freezer. */
export interface SharedContainer {
  id: string;
  lotCode: string;
  number: number;
  recipeId: string;
  portions: number;
  /** every allergen and diet whose bearer must not eat the dish */
  unfitFor: readonly string[];
}

/** A household as the round counts it on the day of the share-out. */
export interface SharingHousehold {
  id: string;
  /** rational text */
  weight: string;
  mustNot: readonly string[];
  ratherNot: readonly string[];
  /** its balance in the book of portions */
  owedMicro: bigint;
}

/** The JSON input of the share-out, as it is kept with its result. */
export interface RoundShareOutInput {
  seed: string;
  households: {
    id: string;
    weight: string;
    owed: string;
    excludes: string[];
    scores: Record<string, number>;
    refuses: string[];
  }[];
  lots: { id: string; dish: string; containers: number; portions: number }[];
}

/** Equal containers of one batch: what the division counts. */
const lotOf = ({ lotCode, portions }: SharedContainer): string => `${lotCode}/${portions}`;

function lotsOf(containers: readonly SharedContainer[]): Map<string, SharedContainer[]> {
  const lots = new Map<string, SharedContainer[]>();
  for (const container of [...containers].sort((a, b) => a.number - b.number)) {
    lots.set(lotOf(container), [...(lots.get(lotOf(container)) ?? []), container]);
  }
  return new Map([...lots].sort(([a], [b]) => byCodeUnits(a, b)));
}

/** The dishes that are unfit for somebody with one of the subjects; a dish is judged by all its containers. */
export function unfitDishes(containers: readonly SharedContainer[], subjects: readonly string[]): string[] {
  const unfit = containers.filter(({ unfitFor }) => !mayEat(subjects, unfitFor));
  return [...new Set(unfit.map(({ recipeId }) => recipeId))].sort(byCodeUnits);
}

/**
 * The input of a round's share-out from what is really there: equal containers of a batch are one lot, a dish is its recipe.
 * Our decision: what somebody must not eat is excluded, what somebody would rather not eat is refused, and the balance of the book of portions is
 * what earlier rounds left owed. `seed`: the round's id, so that ties are drawn the same way again; households of weight nil take no part.
 * Throws `round-not-ready` when there is no container or nobody to share with.
 */
export function roundShareOutInput(
  seed: string,
  households: readonly SharingHousehold[],
  containers: readonly SharedContainer[],
): RoundShareOutInput {
  const present = households.filter(({ weight }) => !isZero(parse(weight)));
  if (containers.length === 0 || present.length === 0) {
    throw new DomainError('round-not-ready', 'There is nothing to share out yet, or nobody to share it with.');
  }
  return {
    seed,
    households: present
      .map(({ id, weight, owedMicro, mustNot, ratherNot }) => ({
        id,
        weight,
        owed: format(fromMicroPortions(owedMicro)),
        excludes: unfitDishes(containers, mustNot),
        scores: {},
        refuses: unfitDishes(containers, ratherNot),
      }))
      .sort((a, b) => byCodeUnits(a.id, b.id)),
    lots: [...lotsOf(containers)].map(([id, equal]) => ({
      id,
      dish: equal[0]?.recipeId ?? '',
      containers: equal.length,
      portions: equal[0]?.portions ?? 0,
    })),
  };
}

/**
 * Which very containers each household gets: of a lot the lowest numbers first, households in the order of their ids.
 * `shares`: household to lot to how many, as the share-out answers; gives household to container ids. Throws `conflict` when a lot has too few.
 */
export function assignContainers(
  shares: Readonly<Record<string, Readonly<Record<string, number>>>>,
  containers: readonly SharedContainer[],
): Record<string, string[]> {
  const left = new Map([...lotsOf(containers)].map(([lot, equal]) => [lot, equal.map(({ id }) => id)]));
  const households = Object.entries(shares).sort(([a], [b]) => byCodeUnits(a, b));
  return sortedRecord(
    households.map(([household, counts]): [string, string[]] => [
      household,
      Object.entries(counts)
        .sort(([a], [b]) => byCodeUnits(a, b))
        .flatMap(([lot, count]) => {
          const taken = left.get(lot)?.splice(0, count) ?? [];
          if (taken.length < count)
            throw new DomainError('conflict', `There are not ${count} containers left of ${lot}.`);
          return taken;
        }),
    ]),
  );
}
