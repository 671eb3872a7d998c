import type { swapRing } from '@frostmoot/contract';
import type { z } from 'zod';
import { withoutPlace, type ContainerCard } from '../stock/container-card.ts';
import type { RingRow } from './ring.repository.ts';

export type RingView = z.infer<typeof swapRing>;

/** The state of a ring as it is now: one that not everybody answered in time has lapsed, whether or not that was written down. */
export const ringNow = (
  ring: Pick<RingRow, 'state' | 'reason' | 'openUntil'>,
  now: Date,
): Pick<RingRow, 'state' | 'reason'> =>
  ring.state === 'proposed' && ring.openUntil <= now ? { state: 'lapsed', reason: 'unanswered' } : ring;

/** A ring as one of its households sees it, beginning with what that one gives. `unfit`: subjects of what it would get. */
export function ringView(
  ring: RingRow,
  cards: ReadonlyMap<string, ContainerCard>,
  householdId: string,
  unfit: readonly string[],
  now: Date,
): RingView {
  const { state, reason } = ringNow(ring, now);
  const at = Math.max(
    0,
    ring.members.findIndex(({ household }) => household.id === householdId),
  );
  const members = [...ring.members.slice(at), ...ring.members.slice(0, at)];
  const cardsOf = (parts: RingRow['parts']): ContainerCard[] =>
    parts
      .flatMap(({ containerId }) => cards.get(containerId) ?? [])
      .sort((a, b) => (a.bestBefore + a.code < b.bestBefore + b.code ? -1 : 1));
  const portions = (parts: RingRow['parts']): number => cardsOf(parts).reduce((sum, card) => sum + card.portions, 0);
  const given = (id: string): RingRow['parts'] => ring.parts.filter(({ giverHouseholdId }) => giverHouseholdId === id);
  return {
    id: ring.id,
    state,
    reason,
    gone: ring.gone,
    members: members.map(({ household, answer, answeredAt }) => ({
      household,
      answer,
      answeredAt: answeredAt?.toISOString() ?? null,
      portionsGiven: portions(given(household.id)),
      portionsGot: portions(ring.parts.filter(({ receiverHouseholdId }) => receiverHouseholdId === household.id)),
    })),
    steps: members.map(({ household }, place) => ({
      giver: household,
      receiver: (members[(place + 1) % members.length] ?? members[0])?.household ?? household,
      containers: cardsOf(given(household.id)).map((card) => withoutPlace(card, householdId)),
    })),
    unfit: [...unfit],
    openUntil: ring.openUntil.toISOString(),
    createdAt: ring.createdAt.toISOString(),
    closedAt: ring.closedAt?.toISOString() ?? null,
    version: members[0]?.version ?? 1,
  };
}
