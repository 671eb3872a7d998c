import { byCodeUnits, sortedRecord } from '../canonical.ts';
import { DomainError } from '../domain-error.ts';
import { fromMicroPortions } from '../ledger/micro-portions.ts';
import type { Rational } from '../rational.ts';
import { format, isZero, parse } from '../rational.ts';
import { mayEat } from '../rounds/cost-shares.ts';
import { borneByHeadcount } from './common-part.ts';

/** A sealed container of the round in the common freezer. */
export interface SharedContainer {
  id: string;
  lotCode: string;
  number: number;
  recipeId: string;
  portions: number;
  /** every allergen and diet whose bearer must not eat the dish */
  unfitFor: readonly string[];
  millilitres?: number | null;
  /** the household that has claimed it before the share-out */
  claimedBy?: string | null;
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
  /** what is free in its freezer now; null or left out: not said */
  freeMl?: number | null;
}

/** What else the coordinator may set or the books say. */
export interface SharingTerms {
  /** balance of the common account of portions */
  commonMicro?: bigint;
  /** portions that variety may move a household from its nearest deviation */
  varietyWindow?: Rational;
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
    freezerMl?: number;
    holds?: Record<string, number>;
  }[];
  lots: { id: string; dish: string; containers: number; portions: number; containerMl?: number }[];
  varietyWindow?: string;
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

/** Containers of each lot that a household has claimed before the share-out. */
function heldBy(householdId: string, lots: ReadonlyMap<string, readonly SharedContainer[]>): Record<string, number> {
  const counts = [...lots].map(([lot, equal]): [string, number] => [
    lot,
    equal.filter(({ claimedBy }) => claimedBy === householdId).length,
  ]);
  return Object.fromEntries(counts.filter(([, count]) => count > 0));
}

/** Whether freezers can be counted: only where every container says how much room it takes. */
export const countsFreezers = (containers: readonly Pick<SharedContainer, 'millilitres'>[]): boolean =>
  containers.every(({ millilitres }) => millilitres != null);

/**
 * The input of a round's share-out from what is really there: equal containers of a batch are one lot, a dish is its recipe.
 * Our decision: what somebody must not eat is excluded, what somebody would rather not eat is refused; what earlier rounds left owed is the balance
 * of the book of portions and the part of what lies with the common account (borneByHeadcount, ADR 53); a claim made before the share-out is held;
 * free freezer space binds where every container's volume is known, equal containers counted with the largest of them. `seed`: the round's
 * id, so that ties are drawn the same way again; households of weight nil take no part. Throws `round-not-ready` when there is no container or
 * nobody to share with.
 */
export function roundShareOutInput(
  seed: string,
  households: readonly SharingHousehold[],
  containers: readonly SharedContainer[],
  { commonMicro = 0n, varietyWindow }: SharingTerms = {},
): RoundShareOutInput {
  const present = households.filter(({ weight }) => !isZero(parse(weight)));
  if (containers.length === 0 || present.length === 0) {
    throw new DomainError('round-not-ready', 'There is nothing to share out yet, or nobody to share it with.');
  }
  const lots = lotsOf(containers);
  const isRoomCounted = countsFreezers(containers);
  const borne = borneByHeadcount(seed, present, commonMicro);
  return {
    seed,
    households: present
      .map(({ id, weight, owedMicro, mustNot, ratherNot, freeMl }) => {
        const holds = heldBy(id, lots);
        return {
          id,
          weight,
          owed: format(fromMicroPortions(owedMicro + (borne.get(id) ?? 0n))),
          excludes: unfitDishes(containers, mustNot),
          scores: {},
          refuses: unfitDishes(containers, ratherNot),
          ...(isRoomCounted && freeMl != null ? { freezerMl: Math.max(0, freeMl) } : {}),
          ...(Object.keys(holds).length > 0 ? { holds } : {}),
        };
      })
      .sort((a, b) => byCodeUnits(a.id, b.id)),
    lots: [...lots].map(([id, equal]) => ({
      id,
      dish: equal[0]?.recipeId ?? '',
      containers: equal.length,
      portions: equal[0]?.portions ?? 0,
      ...(isRoomCounted ? { containerMl: Math.max(...equal.map(({ millilitres }) => millilitres ?? 0)) } : {}),
    })),
    ...(varietyWindow && !isZero(varietyWindow) ? { varietyWindow: format(varietyWindow) } : {}),
  };
}

/**
 * Which very containers each household gets: those that it has claimed before, then of a lot the lowest numbers first, households in the order of
 * their ids. `shares`: household to lot to how many, as the share-out answers; gives household to container ids. Throws `conflict` when a lot has
 * too few.
 */
export function assignContainers(
  shares: Readonly<Record<string, Readonly<Record<string, number>>>>,
  containers: readonly SharedContainer[],
): Record<string, string[]> {
  const lots = lotsOf(containers);
  const isPresent = (id: string | null | undefined): boolean => id != null && shares[id] !== undefined;
  const left = new Map(
    [...lots].map(([lot, equal]) => [lot, equal.filter(({ claimedBy }) => !isPresent(claimedBy)).map(({ id }) => id)]),
  );
  const takenOf = (lot: string, household: string, count: number): string[] => {
    const own = (lots.get(lot) ?? []).filter(({ claimedBy }) => claimedBy === household).map(({ id }) => id);
    const taken = [...own, ...(left.get(lot)?.splice(0, Math.max(0, count - own.length)) ?? [])];
    if (taken.length === count) return taken;
    throw new DomainError('conflict', `There are not ${count} containers left of ${lot}.`);
  };
  const households = Object.entries(shares).sort(([a], [b]) => byCodeUnits(a, b));
  return sortedRecord(
    households.map(([household, counts]): [string, string[]] => [
      household,
      Object.entries(counts)
        .sort(([a], [b]) => byCodeUnits(a, b))
        .flatMap(([lot, count]) => takenOf(lot, household, count)),
    ]),
  );
}
