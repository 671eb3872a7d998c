import { Injectable } from '@nestjs/common';
import {
  addDays,
  DomainError,
  formatDate,
  householdLeft,
  newlyBroken,
  parseDate,
  readRota,
  turnCovered,
  turnReleased,
} from '@frostmoot/calc';
import type { RotaLimit } from '@frostmoot/calc';
import type { coverTurn } from '@frostmoot/contract';
import type { z } from 'zod';
import { LedgerRepository } from '../accounts/ledger.repository.ts';
import { requireHousehold, type Actor } from '../platform/auth/actor.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { tell } from '../platform/events/tell.ts';
import { requireVersion } from '../platform/http/if-match.ts';
import type { RotaView } from './draft.view.ts';
import { limitFaults, limitSentence, limitView } from './limits.ts';
import { PassedTurns } from './passed-turns.service.ts';
import { RotaFactsService, type RotaFacts } from './rota-facts.service.ts';
import { RotaNotices } from './rota-notices.ts';
import { RotaService } from './rota.service.ts';
import { RotaTurnsRepository, type TurnMove, type TurnRow } from './rota-turns.repository.ts';
import { RotasRepository } from './rotas.repository.ts';
import { TurnsOfDayRepository } from './turns-of-day.repository.ts';

/** Published turns change hands: a household cannot cook, another takes its turn. */
@Injectable()
export class TurnsService {
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

  /** The household that has the turn cannot cook; nobody has it until somebody takes it. */
  release(actor: Actor, turnId: string, version: number): Promise<RotaView> {
    return this.change(actor, turnId, version, async (tx, turn, facts) => {
      if (turn.household === null) throw moved('Nobody has this turn');
      requireHousehold(actor, turn.household.id);
      const from = turn.household.id;
      await this.move(tx, actor, turn, { turnId, from, to: null, kind: 'illness', documentId: null });
      await this.passed.watch(tx, actor, turnId, turn.weekOf, facts.timeZone);
      await this.ledger.post(tx, actor, {
        ...turnReleased(from, { week: turn.weekOf }),
        reason: `${turn.household.name} cannot cook in the week of ${turn.weekOf}`,
        facts: { from: turn.household.name, week: turn.weekOf },
        documentId: turnId,
        occurredOn: facts.today,
      });
      await this.notices.released(tx, actor, turn, facts);
    });
  }

  cover(
    actor: Actor,
    turnId: string,
    version: number,
    { householdId, despite }: z.infer<typeof coverTurn>,
  ): Promise<RotaView> {
    requireHousehold(actor, householdId);
    return this.change(actor, turnId, version, async (tx, turn, facts) => {
      const to = cookOf(facts, householdId);
      const from = turn.household?.id ?? null;
      const present = await this.turns.between(tx, actor, turn.weekOf, turn.weekOf);
      if (present.some(({ household }) => household?.id === householdId)) {
        throw moved('This household cooks in that week already');
      }
      const broken = await this.brokenBy(tx, actor, facts, [{ turn, to: householdId }]);
      if (broken.length > 0 && !despite) throw await this.refusal(tx, actor, facts, broken);
      await this.notices.covered(tx, actor, turn, to);
      await this.move(tx, actor, turn, { turnId, from, to: householdId, kind: 'cover', documentId: null });
      await this.ledger.post(tx, actor, {
        ...turnCovered(from, householdId, { week: turn.weekOf }),
        reason: `${to.name} takes the turn in the week of ${turn.weekOf}`,
        facts: { from: turn.household?.name ?? '', to: to.name, week: turn.weekOf },
        documentId: turnId,
        occurredOn: facts.today,
      });
    });
  }

  /** Moves a locked turn, and with it the cook of its cook day. */
  async move(tx: Tx, actor: Actor, turn: TurnRow, move: TurnMove): Promise<void> {
    await this.turns.move(tx, actor, move);
    if (turn.cookDayId === null) return;
    const state = move.kind === 'swap' ? 'swapped' : 'covered';
    await this.days.change(tx, actor, turn.cookDayId, { ...move, state });
    await tell(tx, actor, 'rounds');
  }

  /** Why a turn does not move any more: its day, or its week where it has none yet, is over. */
  async whyOver(tx: Tx, actor: Actor, turn: TurnRow, { today, thisMonday }: RotaFacts): Promise<DomainError | null> {
    if (turn.cookDayId === null) return turn.weekOf < thisMonday ? moved('This turn is over') : null;
    const { date, isOpen } = await this.days.dayOfTurn(tx, actor, turn.cookDayId);
    return isOpen && date >= today ? null : moved('This turn is over');
  }

  /** The limits that would be broken if turns went to other households, and are not broken now. */
  async brokenBy(
    tx: Tx,
    actor: Actor,
    facts: RotaFacts,
    changes: readonly { turn: TurnRow; to: string }[],
  ): Promise<RotaLimit[]> {
    const mondays = changes.map(({ turn }) => turn.weekOf).sort();
    const [first, last] = [mondays[0] ?? '', mondays.at(-1) ?? ''];
    const plans = await this.rotas.publishedWeeks(tx, actor, first);
    const weeks = [];
    for (let monday = first; monday <= last; monday = formatDate(addDays(parseDate(monday), 7))) {
      weeks.push(plans.get(monday) ?? { weekOf: monday, team: 0, dishes: [], potMl: 0 });
    }
    const { input, published } = await this.facts.question(tx, actor, facts, weeks);
    const known = new Set(facts.households.map(({ id }) => id));
    const inReach = new Set(input.weeks.map(({ id }) => id));
    const turnsOf = (holder: (row: TurnRow) => string | undefined) =>
      published.flatMap((row) => {
        const household = holder(row) ?? '';
        return known.has(household) && inReach.has(row.weekOf) ? [{ week: row.weekOf, household }] : [];
      });
    const before = turnsOf(({ household }) => household?.id);
    const after = turnsOf((row) => changes.find(({ turn }) => turn.id === row.id)?.to ?? row.household?.id);
    // Turns are moved on purpose, so that they were published is no reason against it.
    return newlyBroken(readRota({ ...input, kept: [] }), before, after);
  }

  async refusal(tx: Tx, actor: Actor, { names }: RotaFacts, broken: readonly RotaLimit[]): Promise<DomainError> {
    const ids = broken.flatMap((limit) => ('dish' in limit ? [limit.dish] : []));
    const dishes = new Map([...(await this.rotas.recipes(tx, actor, ids))].map(([id, { name }]) => [id, name]));
    const views = broken.map((limit) => limitView(limit, names, dishes));
    return new DomainError('rota-limits', views.map(limitSentence).join(' '), {
      params: { limits: broken.length },
      errors: limitFaults(views, '#'),
    });
  }

  private change(
    actor: Actor,
    turnId: string,
    version: number,
    work: (tx: Tx, turn: TurnRow, facts: RotaFacts) => Promise<void>,
  ): Promise<RotaView> {
    return this.unitOfWork.write(actor, async (tx) => {
      await this.turns.lock(tx, actor);
      const turn = await this.turns.find(tx, actor, turnId);
      if (!turn) throw new DomainError('not-found', 'There is no such turn');
      const facts = await this.facts.of(tx, actor);
      requireVersion(turn.version, version);
      const over = await this.whyOver(tx, actor, turn, facts);
      if (over) throw over;
      await work(tx, turn, facts);
      for (const topic of ['rota', 'accounts'] as const) await tell(tx, actor, topic);
      return this.view.viewIn(tx, actor);
    });
  }
}

/** A household that may be given a turn. Throws `not-found`, or `household-left`. */
function cookOf({ households, names }: RotaFacts, id: string): RotaFacts['households'][number] {
  const found = households.find((household) => household.id === id);
  if (found) return found;
  const name = names.get(id);
  throw name === undefined ? new DomainError('not-found', 'There is no such household') : householdLeft(name);
}

export const moved = (detail: string): DomainError => new DomainError('turn-moved', detail);
