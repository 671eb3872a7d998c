import { Injectable } from '@nestjs/common';
import { DomainError, invalidInput, lostFromCommon, microPerPortion } from '@frostmoot/calc';
import type { answerRecall, recalls, recallTrace, reportSuspicion, startRecall } from '@frostmoot/contract';
import type { z } from 'zod';
import { LedgerRepository } from '../accounts/ledger.repository.ts';
import { NoticesService } from '../notices/notices.service.ts';
import { requireHousehold, type Actor } from '../platform/auth/actor.ts';
import { Clock } from '../platform/clock/clock.ts';
import { dayOf } from '../platform/clock/day-of.ts';
import { toDate } from '../platform/db/dates.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { tell } from '../platform/events/tell.ts';
import { ContainerRepository } from '../stock/container.repository.ts';
import { headOf, reportOf, type RecallAnswerView } from './recall-view.ts';
import { RecallsRepository, type Source } from './recalls.repository.ts';

/** Codes that a notice spells out; the rest are on the page. */
const CODES_NAMED = 10;

/** Calls food back: traces it, tells everybody who has it, and keeps what became of each container. */
@Injectable()
export class RecallsService {
  constructor(
    private readonly unitOfWork: UnitOfWork,
    private readonly rows: RecallsRepository,
    private readonly notices: NoticesService,
    private readonly ledger: LedgerRepository,
    private readonly containers: ContainerRepository,
    private readonly clock: Clock,
  ) {}

  list(actor: Actor): Promise<z.infer<typeof recalls>> {
    return this.unitOfWork.read(actor, async (tx) => {
      const names = await this.names(tx, actor);
      const toAnswer = await this.rows.toAnswer(tx, actor, actor.householdId);
      const items = (await this.rows.list(tx, actor)).map((row) => ({
        ...headOf(row, names),
        toAnswer: toAnswer.get(row.id) ?? 0,
      }));
      const whose = actor.roles.includes('coordinator') ? null : actor.householdId;
      return { items, suspicions: await this.rows.suspicions(tx, actor, whose) };
    });
  }

  trace(actor: Actor, source: Source, sourceId: string): Promise<z.infer<typeof recallTrace>> {
    return this.unitOfWork.read(actor, async (tx) => {
      const name = await this.nameOf(tx, actor, source, sourceId);
      const traced = await this.rows.containersOf(tx, actor, source, sourceId);
      const households = new Set(traced.flatMap(({ householdId }) => householdId ?? []));
      const batches = await this.rows.batchesOf(tx, actor, source, sourceId);
      return { ...name, batches, households: households.size, containers: traced.length };
    });
  }

  start(actor: Actor, typed: z.infer<typeof startRecall>): Promise<RecallAnswerView> {
    return this.unitOfWork.write(actor, async (tx) => {
      const { source, sourceId, drill } = typed;
      const name = await this.nameOf(tx, actor, source, sourceId);
      const { now, today } = await dayOf(tx, actor, this.clock);
      // Accounts before containers, as everybody locks them.
      if (!drill) await this.ledger.lockAccounts(tx, actor, [{ book: 'portions', account: { kind: 'common' } }]);
      const batches = await this.rows.batchesOf(tx, actor, source, sourceId);
      const id = await this.rows.add(tx, actor, { ...typed, ...name, createdAt: now }, batches);
      if (!drill) {
        const ids = (await this.rows.containersOf(tx, actor, source, sourceId)).map((container) => container.id);
        await this.writeOff(tx, actor, new Set(await this.rows.takeOut(tx, actor, ids, now)), typed, today);
      }
      // Read again after the lock: what was swapped a moment ago is told to whoever holds it now.
      const traced = await this.rows.containersOf(tx, actor, source, sourceId);
      const holders = new Set(traced.flatMap(({ householdId }) => householdId ?? []));
      for (const householdId of holders) {
        const own = traced.filter((container) => container.householdId === householdId);
        await this.tellHousehold(tx, actor, { id, drill, ...name }, householdId, own);
      }
      await tell(tx, actor, 'recalls', id);
      if (!drill)
        for (const topic of ['stock', 'swaps', 'share-outs', 'accounts'] as const) await tell(tx, actor, topic);
      return this.viewIn(tx, actor, id);
    });
  }

  find(actor: Actor, id: string): Promise<RecallAnswerView> {
    return this.unitOfWork.read(actor, (tx) => this.viewIn(tx, actor, id));
  }

  answer(actor: Actor, id: string, { householdId, answers }: z.infer<typeof answerRecall>): Promise<RecallAnswerView> {
    if (householdId !== null) requireHousehold(actor, householdId);
    else if (!actor.roles.includes('coordinator')) {
      throw new DomainError('forbidden', 'Only a coordinator answers for the common freezer');
    }
    return this.unitOfWork.write(actor, async (tx) => {
      const recall = await this.open(tx, actor, id);
      const { now, today } = await dayOf(tx, actor, this.clock);
      const theirs = new Set((await this.rows.containers(tx, actor, id, householdId)).map((container) => container.id));
      if (answers.some(({ containerId }) => !theirs.has(containerId))) {
        throw new DomainError('not-found', 'The household holds no such container of this recall');
      }
      const late = answers.findIndex(({ eatenOn }) => eatenOn !== null && eatenOn > today);
      if (late >= 0) {
        throw invalidInput([{ pointer: `#/answers/${late}/eatenOn`, detail: `Must not be after today (${today}).` }]);
      }
      const kept = answers.map(({ eatenOn, answer, containerId }) => ({
        ...{ containerId, answer },
        eatenOn: answer === 'eaten' && eatenOn !== null ? toDate(eatenOn) : null,
      }));
      await this.rows.answer(tx, actor, id, kept, now);
      if (!recall.drill) {
        const eaten = kept.filter(({ answer }) => answer === 'eaten').map(({ containerId }) => containerId);
        const others = kept.filter(({ answer }) => answer !== 'eaten').map(({ containerId }) => containerId);
        await this.rows.settleState(tx, actor, eaten, 'eaten');
        await this.rows.settleState(tx, actor, others, 'recalled');
        await tell(tx, actor, 'stock');
      }
      await tell(tx, actor, 'recalls', id);
      return this.viewIn(tx, actor, id);
    });
  }

  close(actor: Actor, id: string, words: string): Promise<RecallAnswerView> {
    return this.unitOfWork.write(actor, async (tx) => {
      const { drill, what, lotCode } = await this.open(tx, actor, id);
      const containers = await this.rows.containers(tx, actor, id);
      const none = containers.filter(({ fate }) => fate === 'none').length;
      if (none > 0 && words === '') {
        const detail = `${none} containers have no answer: say why it is closed all the same.`;
        throw invalidInput([{ pointer: '#/words', detail }]);
      }
      await this.rows.close(tx, actor, id, words, this.clock.now());
      if (!drill) {
        const householdIds = containers.flatMap(({ household }) => household?.id ?? []);
        const facts = { what, lot: lotCode };
        await this.notices.give(tx, actor, { householdIds, kind: 'recall-closed', facts, subjectId: id });
      }
      await tell(tx, actor, 'recalls', id);
      return this.viewIn(tx, actor, id);
    });
  }

  remind(actor: Actor, id: string, householdId: string): Promise<RecallAnswerView> {
    return this.unitOfWork.write(actor, async (tx) => {
      const { drill, what, lotCode } = await this.open(tx, actor, id);
      const own = await this.rows.containers(tx, actor, id, householdId);
      if (own.length === 0) throw new DomainError('not-found', 'The household holds nothing of this recall');
      await this.tellHousehold(tx, actor, { id, drill, what, lotCode }, householdId, own);
      await tell(tx, actor, 'recalls', id);
      return this.viewIn(tx, actor, id);
    });
  }

  suspect(
    actor: Actor,
    { containerId, reason, words }: z.infer<typeof reportSuspicion>,
  ): Promise<z.infer<typeof recalls>> {
    return this.unitOfWork
      .write(actor, async (tx) => {
        const now = this.clock.now();
        const [card] = await this.containers.byIds(tx, actor, [containerId], now);
        if (!card) throw new DomainError('not-found', 'There is no such container');
        if (card.holderId !== null) requireHousehold(actor, card.holderId);
        const { householdId } = actor;
        const id = await this.rows.suspect(tx, actor, { containerId, householdId, reason, words, createdAt: now });
        const members = await this.rows.members(tx, actor);
        const coordinators = members.filter(({ roles }) => roles.includes('coordinator'));
        const own = await tx.household.findUniqueOrThrow({
          where: { cooperativeId_id: { cooperativeId: actor.cooperativeId, id: householdId } },
          select: { name: true },
        });
        const facts = { code: card.code, dish: card.dish, household: own.name, reason, words };
        const householdIds = coordinators.map((member) => member.householdId);
        await this.notices.give(tx, actor, { householdIds, kind: 'suspicion', facts, subjectId: id });
        await tell(tx, actor, 'recalls', id);
        return {};
      })
      .then(() => this.list(actor));
  }

  private async viewIn(tx: Tx, actor: Actor, id: string): Promise<RecallAnswerView> {
    const row = await this.rows.find(tx, actor, id);
    if (!row) throw new DomainError('not-found', 'There is no such recall');
    const members = await this.rows.members(tx, actor);
    const names = new Map(members.map(({ person }) => [person.id, person.displayName]));
    const mine = await this.rows.containers(tx, actor, id, actor.householdId);
    if (!actor.roles.includes('coordinator')) return { ...headOf(row, names), mine, report: null };
    // Where it lies in another home is the holder's own business.
    const all = (await this.rows.containers(tx, actor, id)).map((container) =>
      container.household === null || container.household.id === actor.householdId
        ? container
        : { ...container, place: '' },
    );
    const told = await this.rows.told(tx, actor, id);
    const batches = await this.rows.batches(tx, actor, id);
    return { ...headOf(row, names), mine, report: reportOf(batches, all, told, members) };
  }

  private async tellHousehold(
    tx: Tx,
    actor: Actor,
    { id, drill, what, lotCode }: { id: string; drill: boolean; what: string; lotCode: string },
    householdId: string,
    own: readonly { code: string; sure: boolean }[],
  ): Promise<void> {
    const codes = own.slice(0, CODES_NAMED).map(({ code }) => code);
    const more = own.length - codes.length;
    await this.notices.give(tx, actor, {
      householdIds: [householdId],
      kind: drill ? 'recall-drill' : 'recall',
      facts: {
        what,
        lot: lotCode,
        n: own.length,
        codes: codes.join(', ') + (more > 0 ? ` +${more}` : ''),
        sure: own.every(({ sure }) => sure) ? 'yes' : 'no',
      },
      subjectId: id,
    });
  }

  /** What was in the common freezer is lost to all, as when it is thrown away. */
  private async writeOff(
    tx: Tx,
    actor: Actor,
    common: ReadonlySet<string>,
    { source, sourceId }: { source: Source; sourceId: string },
    today: string,
  ): Promise<void> {
    if (common.size === 0) return;
    const traced = await this.rows.containersOf(tx, actor, source, sourceId);
    for (const { id, code, dish, portions, roundId } of traced.filter((container) => common.has(container.id))) {
      const facts = { code, dish, portions, state: 'recalled' };
      await this.ledger.post(tx, actor, {
        ...lostFromCommon(BigInt(portions) * microPerPortion, facts),
        reason: `Recalled from the common freezer: ${code}`,
        facts,
        documentId: id,
        roundId,
        occurredOn: today,
      });
    }
  }

  private async open(tx: Tx, actor: Actor, id: string) {
    // One act at a time on a recall: what is answered while it is closed comes before or after.
    await tx.$queryRaw`SELECT pg_advisory_xact_lock(hashtextextended(${`recall ${actor.cooperativeId} ${id}`}, 0))::text`;
    const row = await this.rows.find(tx, actor, id);
    if (!row) throw new DomainError('not-found', 'There is no such recall');
    if (row.closed) throw new DomainError('conflict', 'This recall is closed');
    return row;
  }

  private async nameOf(tx: Tx, actor: Actor, source: Source, id: string): Promise<{ what: string; lotCode: string }> {
    const name = await this.rows.nameOf(tx, actor, source, id);
    if (!name) throw new DomainError('not-found', 'There is nothing like this to call back');
    return name;
  }

  private async names(tx: Tx, actor: Actor): Promise<Map<string, string>> {
    return new Map((await this.rows.members(tx, actor)).map(({ person }) => [person.id, person.displayName]));
  }
}
