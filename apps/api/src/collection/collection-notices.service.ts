import { Injectable, type OnModuleInit } from '@nestjs/common';
import { NoticesService } from '../notices/notices.service.ts';
import type { Actor } from '../platform/auth/actor.ts';
import { Clock } from '../platform/clock/clock.ts';
import { newId } from '../platform/db/ids.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import type { JobOrder } from '../platform/jobs/job-handler.ts';
import { Jobs } from '../platform/jobs/jobs.service.ts';
import type { CollectionView } from './collection-reader.ts';
import { CollectionReader } from './collection-reader.ts';

const TELL_UNCOLLECTED = 'tell-uncollected';

/** What the job was put into the queue with; a deadline that was moved since has a job of its own. */
interface Order {
  roundId: string;
  collectBy: string;
}

/** Tells households where and when to collect, and after the last moment what is still there; coordinators hear of all of it. */
@Injectable()
export class CollectionNotices implements OnModuleInit {
  constructor(
    private readonly unitOfWork: UnitOfWork,
    private readonly jobs: Jobs,
    private readonly notices: NoticesService,
    private readonly reader: CollectionReader,
    private readonly clock: Clock,
  ) {}

  onModuleInit(): void {
    this.jobs.register({
      kind: TELL_UNCOLLECTED,
      run: (order) => this.tellUncollected(order),
      triesAgainAfter: [60, 600],
    });
  }

  /** After place and times were set: everybody who has something to collect, now and, of what is left, after the last moment. */
  async set(tx: Tx, actor: Actor, view: CollectionView): Promise<void> {
    const { roundId, roundNumber, place, collectBy } = view;
    if (collectBy === null) return;
    const householdIds = view.parts.map(({ household }) => household.id);
    const facts = { round: roundNumber, place, collectAt: collectBy };
    await this.notices.give(tx, actor, { householdIds, kind: 'collection-set', facts, subjectId: roundId });
    const input: Order = { roundId, collectBy };
    await this.jobs.start(tx, actor, { kind: TELL_UNCOLLECTED, subjectId: newId(), input, dueAt: new Date(collectBy) });
  }

  async backInPool(
    tx: Tx,
    actor: Actor,
    roundId: string,
    back: { householdId: string; round: number; containers: number; portions: number },
  ): Promise<void> {
    const { householdId, ...facts } = back;
    if (facts.containers === 0) return;
    await this.notices.give(tx, actor, {
      householdIds: [householdId],
      kind: 'back-in-pool',
      facts,
      subjectId: roundId,
    });
  }

  private tellUncollected({ actor, input }: JobOrder): Promise<{ households: number }> {
    const { roundId, collectBy } = input as Order;
    return this.unitOfWork.write(actor, async (tx) => {
      const view = await this.reader.view(tx, actor, roundId);
      const late = view.parts.flatMap(({ household, containers }) => {
        const left = containers.filter(({ isCollected }) => !isCollected);
        return left.length === 0 ? [] : [{ household, left }];
      });
      if (view.collectBy !== collectBy || this.clock.now() <= new Date(collectBy)) return { households: 0 };
      for (const { household, left } of late) {
        await this.notices.give(tx, actor, {
          householdIds: [household.id],
          kind: 'not-collected',
          facts: { round: view.roundNumber, place: view.place, collectAt: collectBy, n: left.length },
          subjectId: roundId,
        });
      }
      if (late.length > 0) {
        const names = late.map(({ household }) => household.name).join(', ');
        await this.notices.giveCoordinators(tx, actor, {
          kind: 'not-collected-all',
          facts: { round: view.roundNumber, households: names.slice(0, 300) },
          subjectId: roundId,
        });
      }
      return { households: late.length };
    });
  }
}
