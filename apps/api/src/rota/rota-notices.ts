import { Injectable } from '@nestjs/common';
import type { NoticeFacts, NoticeKind } from '@frostmoot/contract';
import { NoticesService } from '../notices/notices.service.ts';
import type { Actor } from '../platform/auth/actor.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { RotaFacts } from './rota-facts.service.ts';
import { RotaTurnsRepository, type TurnRow } from './rota-turns.repository.ts';
import type { RotaRow } from './rotas.repository.ts';
import type { TurnSwapRow } from './turn-swaps.repository.ts';

/** Tells households what the rota has for them, and who takes whose turn. Inside the unit of work that changes it. */
@Injectable()
export class RotaNotices {
  constructor(
    private readonly notices: NoticesService,
    private readonly turns: RotaTurnsRepository,
  ) {}

  /** Every household that is there learns how many turns it has by now in the weeks of the rota, and the first of them. */
  async published(tx: Tx, actor: Actor, { id, weeks, turns }: RotaRow, { households }: RotaFacts): Promise<void> {
    const mondays = weeks.map(({ weekOf }) => weekOf).sort();
    const [fromOn, untilOn] = [mondays[0], mondays.at(-1)];
    if (fromOn === undefined || untilOn === undefined) return;
    for (const household of households) {
      const own = turns
        .filter(({ householdId, weekOf }) => householdId === household.id && mondays.includes(weekOf))
        .map(({ weekOf }) => weekOf)
        .sort();
      const facts = { n: own.length, firstOn: own[0] ?? fromOn, fromOn, untilOn };
      await this.give(tx, actor, [household.id], 'rota-published', facts, id);
    }
  }

  /** Nobody has the turn: everybody else learns of it, since somebody must take it. */
  async released(tx: Tx, actor: Actor, turn: TurnRow, { households }: RotaFacts): Promise<void> {
    const { id, name } = turn.household ?? { id: '', name: '' };
    const others = households.map((household) => household.id).filter((each) => each !== id);
    await this.give(tx, actor, others, 'turn-free', { household: name, weekOn: turn.weekOf }, turn.id);
  }

  /** Whose turn it was learns who cooks instead; whoever was given it by somebody else learns that they do. To be called before it moves. */
  async covered(tx: Tx, actor: Actor, turn: TurnRow, to: { id: string; name: string }): Promise<void> {
    const weekOn = turn.weekOf;
    const before = turn.household?.id ?? (await this.turns.history(tx, actor, turn.id)).at(-1)?.fromHouseholdId;
    if (before && before !== to.id && before !== actor.householdId) {
      await this.give(tx, actor, [before], 'turn-covered', { household: to.name, weekOn }, turn.id);
    }
    if (to.id !== actor.householdId) await this.give(tx, actor, [to.id], 'turn-given', { weekOn }, turn.id);
  }

  asked(tx: Tx, actor: Actor, id: string, gives: TurnRow, gets: TurnRow): Promise<void> {
    const facts = { household: gives.household?.name ?? '', givesOn: gives.weekOf, getsOn: gets.weekOf };
    return this.give(tx, actor, [gets.household?.id ?? ''], 'turn-swap-asked', facts, id);
  }

  async answered(tx: Tx, actor: Actor, swap: TurnSwapRow, answer: 'accept' | 'decline' | 'withdraw'): Promise<void> {
    if (answer === 'withdraw') return;
    const turns = await this.turns.byIds(tx, actor, [swap.givesTurnId, swap.getsTurnId]);
    const [givesOn, getsOn] = [turns.get(swap.givesTurnId)?.weekOf, turns.get(swap.getsTurnId)?.weekOf];
    const facts = { household: swap.to.name, givesOn: givesOn ?? '', getsOn: getsOn ?? '' };
    const kind = answer === 'accept' ? 'turn-swap-done' : 'turn-swap-declined';
    await this.give(tx, actor, [swap.from.id], kind, facts, swap.id);
  }

  private give(
    tx: Tx,
    actor: Actor,
    householdIds: readonly string[],
    kind: NoticeKind,
    facts: NoticeFacts,
    subjectId: string,
  ): Promise<void> {
    return this.notices.give(tx, actor, { householdIds, kind, facts, subjectId });
  }
}
