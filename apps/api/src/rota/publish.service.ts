import { Injectable } from '@nestjs/common';
import { addDays, comingWeeks, DomainError, formatDate, parseDate, rotaPublished } from '@frostmoot/calc';
import type { RotaLimit } from '@frostmoot/calc';
import { LedgerRepository } from '../accounts/ledger.repository.ts';
import type { Actor } from '../platform/auth/actor.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { tell } from '../platform/events/tell.ts';
import { openDraft } from './draft.service.ts';
import type { RotaView } from './draft.view.ts';
import { limitFaults, limitView, notAccepted } from './limits.ts';
import { PassedTurns } from './passed-turns.service.ts';
import { givenBy, publication, type Publication } from './publication.ts';
import { RotaFactsService, type RotaFacts } from './rota-facts.service.ts';
import { RotaNotices } from './rota-notices.ts';
import { RotaService } from './rota.service.ts';
import { RotaTurnsRepository } from './rota-turns.repository.ts';
import { RotasRepository, type RotaRow } from './rotas.repository.ts';
import { TurnsOfDayRepository, type HandSetTurn } from './turns-of-day.repository.ts';

/** Publishes a draft: its turns stand, they are in the turns book, and the cook days of rounds have them. */
@Injectable()
export class PublishService {
  constructor(
    private readonly unitOfWork: UnitOfWork,
    private readonly rotas: RotasRepository,
    private readonly turns: RotaTurnsRepository,
    private readonly days: TurnsOfDayRepository,
    private readonly facts: RotaFactsService,
    private readonly ledger: LedgerRepository,
    private readonly passed: PassedTurns,
    private readonly view: RotaService,
    private readonly notices: RotaNotices,
  ) {}

  publish(actor: Actor, id: string, version: number): Promise<RotaView> {
    return this.unitOfWork.write(actor, async (tx) => {
      await this.turns.lock(tx, actor);
      const draft = await openDraft(this.rotas, tx, actor, id, version);
      let facts = await this.facts.of(tx, actor);
      if ((await this.passed.close(tx, actor, facts)) > 0) facts = await this.facts.of(tx, actor);
      // A week that is over by now is not published any more, and nobody who has left gets a turn: what is missing then is a limit like any other.
      const there = new Set(facts.households.map(({ id }) => id));
      const open = {
        ...draft,
        weeks: draft.weeks.filter(({ weekOf }) => weekOf >= facts.thisMonday),
        turns: draft.turns.filter(({ householdId }) => there.has(householdId)),
      };
      const { broken, published, handSet } = await this.facts.judge(tx, actor, facts, draft.weeks, draft.turns);
      await this.refuseBroken(tx, actor, draft, facts, broken);
      const change = publication(open, published);
      await this.rotas.publish(tx, actor, id, facts.now);
      await this.write(tx, actor, id, facts, change);
      await this.takeIntoDays(tx, actor, open);
      await this.letGo(tx, actor, open, handSet);
      await this.book(tx, actor, open, facts, change);
      await this.notices.published(tx, actor, open, facts);
      for (const topic of ['rota', 'accounts', 'rounds'] as const) await tell(tx, actor, topic);
      return this.view.viewIn(tx, actor);
    });
  }

  private async refuseBroken(
    tx: Tx,
    actor: Actor,
    { weeks, accepted }: RotaRow,
    { names }: RotaFacts,
    broken: readonly RotaLimit[],
  ): Promise<void> {
    const open = notAccepted(broken, accepted);
    if (open.length === 0) return;
    const dishes = await this.rotas.recipes(
      tx,
      actor,
      weeks.flatMap((week) => week.dishes),
    );
    const dishNames = new Map([...dishes].map(([id, { name }]) => [id, name]));
    throw new DomainError('rota-limits', 'Some limits are broken, and nobody has said that they may be', {
      params: { limits: open.length },
      errors: limitFaults(
        open.map((limit) => limitView(limit, names, dishNames)),
        '#/turns',
      ),
    });
  }

  private async write(
    tx: Tx,
    actor: Actor,
    rotaId: string,
    { timeZone }: RotaFacts,
    { moves, added }: Publication,
  ): Promise<void> {
    // Whoever gives a turn up does so before anybody gets another of the same week.
    for (const { cookDayId, weekOf, ...move } of moves) {
      await this.turns.move(tx, actor, { ...move, kind: 'published', documentId: rotaId });
      if (move.to === null) await this.passed.watch(tx, actor, move.turnId, weekOf, timeZone);
      if (cookDayId !== null) await this.days.change(tx, actor, cookDayId, { ...move, state: 'published' });
    }
    for (const { weekOf, householdId } of added) {
      const turnId = await this.turns.add(tx, actor, rotaId, weekOf, householdId);
      if (householdId === null) await this.passed.watch(tx, actor, turnId, weekOf, timeZone);
    }
  }

  /** The first cook day that is open in a week gets the week's turns. */
  private async takeIntoDays(tx: Tx, actor: Actor, { weeks }: RotaRow): Promise<void> {
    const [first, last] = [weeks[0]?.weekOf, weeks.at(-1)?.weekOf];
    if (first === undefined || last === undefined) return;
    const days = await this.days.openDays(tx, actor, first, formatDate(addDays(parseDate(last), 6)));
    const ofWeek = new Map(days.reverse().map((day) => [comingWeeks(day.date, 1)[0] ?? '', day.id]));
    for (const [weekOf, dayId] of ofWeek) await this.days.take(tx, actor, weekOf, dayId);
  }

  /** Cooks who were set by hand and whom the draft leaves out. */
  private async letGo(tx: Tx, actor: Actor, { weeks, turns }: RotaRow, handSet: readonly HandSetTurn[]): Promise<void> {
    const filled = new Set(weeks.map(({ weekOf }) => weekOf));
    for (const { cookDayId, weekOf, householdId } of handSet) {
      const stays = turns.some((turn) => turn.weekOf === weekOf && turn.householdId === householdId);
      if (stays || !filled.has(weekOf)) continue;
      await this.days.change(tx, actor, cookDayId, { from: householdId, to: null, state: 'published' });
    }
  }

  private async book(tx: Tx, actor: Actor, rota: RotaRow, facts: RotaFacts, change: Publication): Promise<void> {
    const given = givenBy(change);
    const due = change.added.length;
    if (due === 0 && [...given.values()].every((turns) => turns === 0)) return;
    const weeks = rota.weeks.map(({ weekOf }) => weekOf);
    await this.ledger.post(tx, actor, {
      ...rotaPublished({
        weights: new Map(facts.households.map(({ id, weight }) => [id, weight])),
        due,
        given,
        seed: rota.id,
      }),
      reason: `Rota from ${weeks[0]} to ${weeks.at(-1)}`,
      facts: { from: weeks[0] ?? '', to: weeks.at(-1) ?? '' },
      documentId: rota.id,
      occurredOn: facts.today,
    });
  }
}
