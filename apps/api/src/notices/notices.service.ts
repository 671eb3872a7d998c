import { Inject, Injectable } from '@nestjs/common';
import { DomainError } from '@frostmoot/calc';
import type { notice, NoticeFacts, NoticeKind, notices } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { Clock } from '../platform/clock/clock.ts';
import type { Config } from '../platform/config/config.ts';
import { CONFIG } from '../platform/config/tokens.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { tell } from '../platform/events/tell.ts';
import { Jobs } from '../platform/jobs/jobs.service.ts';
import { NOTICE_MAIL } from './notice-mail.ts';
import { NoticesRepository, type NoticeRow } from './notices.repository.ts';

type Answer = z.infer<typeof notice>;

export interface NewNotices {
  householdIds: readonly string[];
  kind: NoticeKind;
  facts: NoticeFacts;
  subjectId: string | null;
}

/** The newest that a page shows. */
const SHOWN = 100;

/** Tells households what has happened: on the screen at once, and by mail once it is committed. */
@Injectable()
export class NoticesService {
  constructor(
    private readonly unitOfWork: UnitOfWork,
    private readonly rows: NoticesRepository,
    private readonly jobs: Jobs,
    private readonly clock: Clock,
    @Inject(CONFIG) private readonly config: Config,
  ) {}

  /** Inside a unit of work: every one of the households gets the notice, or none. Facts must not say what somebody must not eat. */
  async give(tx: Tx, actor: Actor, { householdIds, kind, facts, subjectId }: NewNotices): Promise<void> {
    const createdAt = this.clock.now();
    for (const householdId of [...new Set(householdIds)].sort()) {
      const id = await this.rows.add(tx, actor, { householdId, kind, facts, subjectId, createdAt });
      if (this.config.smtpUrl !== undefined) {
        await this.jobs.start(tx, actor, { kind: NOTICE_MAIL, subjectId: id, input: {} });
      }
      await tell(tx, actor, 'notices', id);
    }
  }

  /** The same for the households of those who coordinate. */
  async giveCoordinators(tx: Tx, actor: Actor, notice: Omit<NewNotices, 'householdIds'>): Promise<void> {
    await this.give(tx, actor, { ...notice, householdIds: await this.rows.coordinators(tx, actor) });
  }

  list(actor: Actor): Promise<z.infer<typeof notices>> {
    return this.unitOfWork.read(actor, (tx) => this.listIn(tx, actor));
  }

  seen(actor: Actor, id: string): Promise<Answer> {
    return this.unitOfWork.write(actor, async (tx) => {
      const row = await this.rows.find(tx, actor, id);
      if (row?.householdId !== actor.householdId) throw new DomainError('not-found', 'There is no such notice');
      await this.rows.see(tx, actor, actor.householdId, id, this.clock.now());
      await tell(tx, actor, 'notices', id);
      const [answer] = await this.answers(tx, actor, [(await this.rows.find(tx, actor, id)) as NoticeRow]);
      return answer as Answer;
    });
  }

  allSeen(actor: Actor): Promise<z.infer<typeof notices>> {
    return this.unitOfWork.write(actor, async (tx) => {
      await this.rows.see(tx, actor, actor.householdId, null, this.clock.now());
      await tell(tx, actor, 'notices');
      return this.listIn(tx, actor);
    });
  }

  private async listIn(tx: Tx, actor: Actor): Promise<z.infer<typeof notices>> {
    const rows = await this.rows.ofHousehold(tx, actor, actor.householdId, SHOWN);
    const unseen = await this.rows.unseen(tx, actor, actor.householdId);
    return { unseen, items: await this.answers(tx, actor, rows) };
  }

  private async answers(tx: Tx, actor: Actor, rows: readonly NoticeRow[]): Promise<Answer[]> {
    const people = rows.flatMap(({ seen }) => seen.map(({ personId }) => personId));
    const names = await this.rows.names(tx, [...new Set(people)]);
    return rows.map(({ id, kind, facts, subjectId, createdAt, seen }) => ({
      id,
      kind,
      facts,
      subjectId,
      createdAt: createdAt.toISOString(),
      seen: seen.some(({ personId }) => personId === actor.personId),
      seenBy: seen.map(({ personId, seenAt }) => ({ name: names.get(personId) ?? '', at: seenAt.toISOString() })),
    }));
  }
}
