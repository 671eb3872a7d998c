import { Injectable } from '@nestjs/common';
import type { Actor } from '../platform/auth/actor.ts';
import type { CooperativeDay } from '../platform/clock/day-of.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { ContainerRepository } from '../stock/container.repository.ts';
import { RingRepository } from './ring.repository.ts';
import type { RingRow } from './ring.repository.ts';
import { ringView } from './ring.view.ts';
import type { RingView } from './ring.view.ts';

/** Rings as the households in them see them. */
@Injectable()
export class RingsService {
  constructor(
    private readonly rings: RingRepository,
    private readonly containers: ContainerRepository,
  ) {}

  async ofHousehold(
    tx: Tx,
    actor: Actor,
    householdId: string,
    day: CooperativeDay,
    endedShown: number,
  ): Promise<RingView[]> {
    return this.views(tx, actor, await this.rings.ofHousehold(tx, actor, householdId, endedShown), householdId, day);
  }

  /** One ring inside a transaction, after what changed it. */
  async viewIn(tx: Tx, actor: Actor, id: string, householdId: string, day: CooperativeDay): Promise<RingView> {
    const ring = (await this.rings.find(tx, actor, id)) as RingRow;
    const [view] = await this.views(tx, actor, [ring], householdId, day);
    return view as RingView;
  }

  /** Subjects for which somebody of a household must not eat what a ring would bring it. */
  async unfitFor(tx: Tx, actor: Actor, ring: RingRow, householdId: string, today: string): Promise<string[]> {
    const subjects = new Set<string>();
    for (const { containerId, receiverHouseholdId } of ring.parts) {
      if (receiverHouseholdId !== householdId) continue;
      const found = await this.containers.excludedSubjects(tx, actor, containerId, householdId, today);
      for (const subject of found) subjects.add(subject);
    }
    return [...subjects].sort();
  }

  private async views(
    tx: Tx,
    actor: Actor,
    rings: readonly RingRow[],
    householdId: string,
    { now, today }: CooperativeDay,
  ): Promise<RingView[]> {
    const ids = rings.flatMap(({ parts }) => parts.map(({ containerId }) => containerId));
    const cards = new Map(
      (await this.containers.byIds(tx, actor, [...new Set(ids)], now)).map((card) => [card.id, card]),
    );
    const views: RingView[] = [];
    for (const ring of rings) {
      const unfit = ring.state === 'proposed' ? await this.unfitFor(tx, actor, ring, householdId, today) : [];
      views.push(ringView(ring, cards, householdId, unfit, now));
    }
    return views;
  }
}
