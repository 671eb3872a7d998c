import { countsFreezers, microPerPortion, rational } from '@frostmoot/calc';
import type { shareOut } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { withoutPlace, type ContainerCard } from '../stock/container-card.ts';
import type { KeptShareOut, RoundHead } from './share-out.repository.ts';
import type { ParticipantToday } from './sharing-facts.repository.ts';

export type ShareOutView = z.infer<typeof shareOut>;
type Part = ShareOutView['parts'][number];

/** Everything that the screen of a share-out is put together from. */
export interface ShareOutState {
  round: RoundHead;
  kept: KeptShareOut | null;
  /** every container of the round */
  containers: readonly ContainerCard[];
  /** what is free in the common freezer, of any round */
  pool: readonly ContainerCard[];
  participants: readonly ParticipantToday[];
  fairness: readonly { roundNumber: number; owedAfter: Record<string, string> }[];
  batchesOpen: number;
  claimAheadPortions: number;
  policy: ShareOutView['policy'];
  window: ShareOutView['window'];
  earlyClaims: ShareOutView['earlyClaims'];
  waiting: ShareOutView['waiting'];
  corrections: ShareOutView['corrections'];
  confirmedBy: string | null;
}

const nil = '0';
const ML_PER_LITRE = 1000n;
const sumOf = (weights: readonly string[]): string => rational.format(rational.sum(weights.map(rational.parse)));

/** Made, whatever became of it since; a container that is gone before the share-out is not shared. */
function sharedContainers({ kept, containers }: ShareOutState): readonly ContainerCard[] {
  if (kept?.state === 'confirmed') return containers;
  return containers.filter(({ state }) => state === 'sealed');
}

function dishesOf(containers: readonly ContainerCard[]): ShareOutView['dishes'] {
  const dishes = new Map<string, ShareOutView['dishes'][number]>();
  for (const { recipeId, dish, portions } of containers) {
    const before = dishes.get(recipeId) ?? { recipeId, name: dish, portions: 0, containers: 0 };
    dishes.set(recipeId, { ...before, portions: before.portions + portions, containers: before.containers + 1 });
  }
  return [...dishes.values()].sort((a, b) => (a.name < b.name ? -1 : 1));
}

/** Containers that a household has of the round by now, or that the proposal would give it. */
function containersOf(state: ShareOutState, kept: KeptShareOut, householdId: string): ContainerCard[] {
  if (kept.state === 'confirmed') return state.containers.filter(({ holderId }) => holderId === householdId);
  const ids = new Set(kept.assigned[householdId]);
  return state.containers.filter(({ id }) => ids.has(id));
}

function partsOf(state: ShareOutState, kept: KeptShareOut, actor: Actor): Part[] {
  const names = new Map(state.participants.map(({ householdId, name }) => [householdId, name]));
  const dishNames = new Map(state.containers.map(({ recipeId, dish }) => [recipeId, dish]));
  const totalWeight = sumOf(kept.input.households.map(({ weight }) => weight));
  const { entitlement, target, received, owedAfter, short } = kept.result;
  const parts = kept.input.households.map(({ id, weight, owed, excludes, freezerMl }): Part => {
    const mayKnow = actor.householdId === id || actor.roles.includes('coordinator');
    return {
      household: { id, name: names.get(id) ?? '' },
      weight,
      totalWeight,
      entitlement: entitlement[id] ?? nil,
      owedBefore: owed,
      target: target[id] ?? nil,
      received: received[id] ?? nil,
      owedAfter: owedAfter[id] ?? nil,
      short: short[id] ?? nil,
      freezerFreeLitres:
        freezerMl === undefined ? null : rational.format(rational.rational(BigInt(freezerMl), ML_PER_LITRE)),
      cannotEat: mayKnow ? excludes.map((dish) => dishNames.get(dish) ?? dish) : null,
      containers: containersOf(state, kept, id).map((card) => withoutPlace(card, actor.householdId)),
    };
  });
  return parts.sort((a, b) => (a.household.name < b.household.name ? -1 : 1));
}

/** What may be claimed, and before the confirmation also what the proposal would leave free; of this round and earlier ones. */
function poolOf({ round, kept, containers, pool, policy }: ShareOutState): ContainerCard[] {
  const free = pool.filter(({ roundNumber }) => roundNumber <= round.number);
  // Where claims come first, everything of the round can be claimed until its share-out is confirmed.
  if (policy === 'before' && round.stage === 'sharing' && kept?.state !== 'confirmed') {
    return [...free, ...containers.filter(({ state }) => state === 'sealed')];
  }
  if (kept?.state !== 'proposed') return free;
  const assigned = new Set(Object.values(kept.assigned).flat());
  return [...free, ...containers.filter((card) => card.state === 'sealed' && !assigned.has(card.id))];
}

/** The share-out of a round as one member may see it: exclusions of other households are left out. */
export function shareOutView(state: ShareOutState, actor: Actor): ShareOutView {
  const { round, kept } = state;
  const shared = sharedContainers(state);
  return {
    roundId: round.id,
    roundNumber: round.number,
    stage: round.stage,
    state: kept ? (kept.state as 'proposed' | 'confirmed') : 'none',
    shareOutId: kept?.id ?? null,
    proof: kept?.proof ?? null,
    totalPortions: shared.reduce((total, { portions }) => total + portions, 0),
    largestContainer: Math.max(0, ...shared.map(({ portions }) => portions)),
    batchesOpen: state.batchesOpen,
    dishes: dishesOf(shared),
    parts: kept ? partsOf(state, kept, actor) : [],
    pool: poolOf(state),
    claimLimitMicro: (BigInt(state.claimAheadPortions) * microPerPortion).toString(),
    policy: state.policy,
    window: state.window,
    earlyClaims: [...state.earlyClaims],
    waiting: [...state.waiting],
    corrections: [...state.corrections],
    freezersCounted: countsFreezers(shared),
    fairness: state.fairness.map(({ roundNumber, owedAfter }) => ({
      roundNumber,
      after: Object.entries(owedAfter).map(([householdId, owed]) => ({ householdId, owed })),
    })),
    confirmedAt: kept?.confirmedAt?.toISOString() ?? null,
    confirmedBy: state.confirmedBy,
    version: kept?.version ?? null,
  };
}
