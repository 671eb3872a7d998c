import { Injectable } from '@nestjs/common';
import { DomainError, mayHandOver } from '@frostmoot/calc';
import type { AtTheDoor } from '@frostmoot/calc';
import type { collection } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { Clock } from '../platform/clock/clock.ts';
import { dayOf } from '../platform/clock/day-of.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { CollectionRepository } from './collection.repository.ts';
import type { CollectionRow } from './collection.repository.ts';
import { HandOverRepository } from './hand-over.repository.ts';
import type { HeldContainer } from './hand-over.repository.ts';

export type CollectionView = z.infer<typeof collection>;
type Part = CollectionView['parts'][number];

/** The collection of a round as one member may see it; nothing in it says who may eat what. */
@Injectable()
export class CollectionReader {
  constructor(
    private readonly collections: CollectionRepository,
    private readonly handOvers: HandOverRepository,
    private readonly clock: Clock,
  ) {}

  async view(tx: Tx, actor: Actor, roundId: string): Promise<CollectionView> {
    const round = await this.collections.round(tx, actor, roundId);
    if (!round) throw new DomainError('not-found', 'There is no such round');
    const { now, today } = await dayOf(tx, actor, this.clock);
    const row = await this.collections.ofRound(tx, actor, roundId);
    const held = round.isShared ? await this.handOvers.held(tx, actor, { roundId }) : [];
    const door = await this.door(tx, actor, roundId);
    return {
      roundId,
      roundNumber: round.number,
      today,
      state: row ? 'set' : round.isShared ? 'none' : 'not-shared',
      place: row?.place ?? '',
      collectBy: row?.collectBy.toISOString() ?? null,
      afterDeadline: (row?.afterDeadline ?? 'keep') as 'keep' | 'release',
      isOver: row !== null && now > row.collectBy,
      slots: (row?.slots ?? []).map(({ id, startsAt, endsAt }) => ({
        id,
        startsAt: startsAt.toISOString(),
        endsAt: endsAt.toISOString(),
        households: row?.choices.filter(({ slotId }) => slotId === id).length ?? 0,
      })),
      parts: partsOf(row, held, door),
      version: row?.version ?? null,
    };
  }

  async door(tx: Tx, actor: Actor, roundId: string): Promise<AtTheDoor> {
    return {
      householdId: actor.householdId,
      isCoordinator: actor.roles.includes('coordinator'),
      kitchens: await this.collections.kitchens(tx, actor, roundId),
    };
  }
}

function partsOf(row: CollectionRow | null, held: readonly HeldContainer[], door: AtTheDoor): Part[] {
  const parts = new Map<string, Part>();
  for (const container of held) {
    const { householdId, householdName } = container;
    const choice = row?.choices.find((each) => each.householdId === householdId);
    const part = parts.get(householdId) ?? {
      household: { id: householdId, name: householdName },
      slotId: choice?.slotId ?? null,
      delegate: choice?.delegate ?? null,
      containers: [],
      mayHandOver: mayHandOver(door, { householdId, delegateId: choice?.delegateHouseholdId ?? null }),
      mayChoose: door.isCoordinator || door.householdId === householdId,
    };
    parts.set(householdId, { ...part, containers: [...part.containers, containerOf(container)] });
  }
  return [...parts.values()];
}

const containerOf = (container: HeldContainer): Part['containers'][number] => ({
  id: container.id,
  code: container.code,
  dish: container.dish,
  portions: container.portions,
  handedOver:
    container.toId && container.handedAt
      ? {
          to: { id: container.toId, name: container.toName ?? '' },
          by: container.handedBy ?? '',
          at: container.handedAt.toISOString(),
        }
      : null,
  isCollected: container.claimState === 'collected',
  version: container.version,
});
