import { Injectable, type OnModuleInit } from '@nestjs/common';
import { addDays, formatDate, parseDate, turnsNotDone } from '@frostmoot/calc';
import { LedgerRepository } from '../accounts/ledger.repository.ts';
import { NoticesService } from '../notices/notices.service.ts';
import type { Actor } from '../platform/auth/actor.ts';
import { zonedInstant } from '../platform/clock/zoned-instant.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { tell } from '../platform/events/tell.ts';
import { Jobs } from '../platform/jobs/jobs.service.ts';
import { RotaFactsService, type RotaFacts } from './rota-facts.service.ts';
import { RotaTurnsRepository } from './rota-turns.repository.ts';

const CLOSE_TURNS = 'close-turns';

/** Turns that nobody had when their week was over: they count as not done, are due of nobody any more, and coordinators are told. */
@Injectable()
export class PassedTurns implements OnModuleInit {
  constructor(
    private readonly unitOfWork: UnitOfWork,
    private readonly jobs: Jobs,
    private readonly turns: RotaTurnsRepository,
    private readonly facts: RotaFactsService,
    private readonly ledger: LedgerRepository,
    private readonly notices: NoticesService,
  ) {}

  onModuleInit(): void {
    this.jobs.register({
      kind: CLOSE_TURNS,
      triesAgainAfter: [60, 600],
      run: ({ actor }) =>
        this.unitOfWork.write(actor, async (tx) => {
          await this.turns.lock(tx, actor);
          return { turns: await this.close(tx, actor, await this.facts.of(tx, actor)) };
        }),
    });
  }

  /** For a turn that nobody has: looks again when its week is over. */
  async watch(tx: Tx, actor: Actor, turnId: string, weekOf: string, timeZone: string): Promise<void> {
    const dueAt = zonedInstant(formatDate(addDays(parseDate(weekOf), 7)), '00:00', timeZone);
    await this.jobs.start(tx, actor, { kind: CLOSE_TURNS, subjectId: turnId, input: {}, dueAt });
  }

  /** Under the lock of the turns; gives how many are closed. */
  async close(tx: Tx, actor: Actor, facts: RotaFacts): Promise<number> {
    const passed = await this.turns.passed(tx, actor, facts);
    for (const week of new Set(passed.map(({ weekOf }) => weekOf))) {
      const ids = passed.filter(({ weekOf }) => weekOf === week).map(({ id }) => id);
      await this.turns.close(tx, actor, ids);
      const weights = new Map(facts.households.map(({ id, weight }) => [id, weight]));
      await this.ledger.post(tx, actor, {
        ...turnsNotDone({ weights, turns: ids.length, seed: week }, { week }),
        reason: `Turns that nobody had in the week of ${week}`,
        facts: { week, turns: ids.length },
        documentId: ids[0] ?? null,
        occurredOn: facts.today,
      });
      await this.notices.giveCoordinators(tx, actor, {
        kind: 'turns-not-done',
        facts: { n: ids.length, weekOn: week },
        subjectId: null,
      });
    }
    if (passed.length > 0) for (const topic of ['rota', 'accounts'] as const) await tell(tx, actor, topic);
    return passed.length;
  }
}
