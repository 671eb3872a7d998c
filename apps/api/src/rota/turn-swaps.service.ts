import { Injectable } from '@nestjs/common';
import {
  answererOf,
  DomainError,
  householdLeft,
  stateAfter,
  stateNow,
  swapOpenUntil,
  turnsSwapped,
} from '@frostmoot/calc';
import type { answerTurnSwap, proposeTurnSwap, turnSwap, turnSwaps } from '@frostmoot/contract';
import type { z } from 'zod';
import { LedgerRepository } from '../accounts/ledger.repository.ts';
import { requireHousehold, type Actor } from '../platform/auth/actor.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { tell } from '../platform/events/tell.ts';
import { requireVersion } from '../platform/http/if-match.ts';
import { turnView } from './draft.view.ts';
import { RotaFactsService, type RotaFacts } from './rota-facts.service.ts';
import { RotaNotices } from './rota-notices.ts';
import { RotaTurnsRepository, type TurnRow } from './rota-turns.repository.ts';
import { TurnSwapsRepository, type TurnSwapRow } from './turn-swaps.repository.ts';
import { moved, TurnsService } from './turns.service.ts';

type SwapView = z.infer<typeof turnSwap>;
type Outcome = { swap: SwapView } | { refused: Refused };

const ENDED_SHOWN = 20;

/** Two households swap turns, one for one: both move, or none. */
@Injectable()
export class TurnSwapsService {
  constructor(
    private readonly unitOfWork: UnitOfWork,
    private readonly swaps: TurnSwapsRepository,
    private readonly rows: RotaTurnsRepository,
    private readonly turns: TurnsService,
    private readonly facts: RotaFactsService,
    private readonly ledger: LedgerRepository,
    private readonly notices: RotaNotices,
  ) {}

  board(actor: Actor, householdId = actor.householdId): Promise<z.infer<typeof turnSwaps>> {
    return this.unitOfWork.read(actor, async (tx) => {
      const facts = await this.facts.of(tx, actor);
      const name = facts.names.get(householdId);
      if (name === undefined) throw new DomainError('not-found', 'There is no such household');
      requireHousehold(actor, householdId);
      const found = await this.swaps.ofHousehold(tx, actor, householdId, ENDED_SHOWN);
      const views = await this.views(tx, actor, found, facts.now);
      const waiting = views.filter(({ state }) => state === 'proposed');
      const ahead = (await this.rows.from(tx, actor, facts.thisMonday)).filter(({ household }) => household !== null);
      const isMine = ({ household }: TurnRow): boolean => household?.id === householdId;
      return {
        household: { id: householdId, name },
        waitingForMe: waiting.filter(({ to }) => to.id === householdId),
        waitingForOthers: waiting.filter(({ from }) => from.id === householdId),
        ended: views.filter(({ state }) => state !== 'proposed').slice(0, ENDED_SHOWN),
        mine: ahead.filter(isMine).map(turnView),
        others: ahead.filter((turn) => !isMine(turn)).map(turnView),
      };
    });
  }

  propose(
    actor: Actor,
    { fromHouseholdId, givesTurnId, getsTurnId, words }: z.infer<typeof proposeTurnSwap>,
  ): Promise<SwapView> {
    requireHousehold(actor, fromHouseholdId);
    return this.unitOfWork.write(actor, async (tx) => {
      await this.rows.lock(tx, actor);
      const facts = await this.facts.of(tx, actor);
      const turns = await this.rows.byIds(tx, actor, [givesTurnId, getsTurnId]);
      const [gives, gets] = [turns.get(givesTurnId), turns.get(getsTurnId)];
      if (!gives || !gets) throw new DomainError('not-found', 'There is no such turn');
      const to = gets.household;
      if (gives.household?.id !== fromHouseholdId || !to || to.id === fromHouseholdId) {
        throw moved('One of these turns is not whose it was');
      }
      const refusal = await this.whyNot(tx, actor, facts, gives, gets);
      if (refusal) throw refusal;
      const id = await this.swaps.create(tx, actor, {
        fromHouseholdId,
        toHouseholdId: to.id,
        givesTurnId,
        getsTurnId,
        words,
        openUntil: new Date(swapOpenUntil(facts.now.getTime(), [])),
        createdAt: facts.now,
      });
      await this.notices.asked(tx, actor, id, gives, gets);
      await tell(tx, actor, 'rota', id);
      return this.viewOf(tx, actor, id, facts.now);
    });
  }

  async answer(
    actor: Actor,
    id: string,
    version: number,
    { answer }: z.infer<typeof answerTurnSwap>,
  ): Promise<SwapView> {
    // That a swap can no longer happen is written down, and only then told as a refusal.
    const outcome = await this.unitOfWork.write(actor, async (tx): Promise<Outcome> => {
      await this.rows.lock(tx, actor);
      const swap = await this.swaps.find(tx, actor, id);
      if (!swap) throw new DomainError('not-found', 'There is no such swap');
      const facts = await this.facts.of(tx, actor);
      const open = { state: swap.state, openUntil: swap.openUntil.getTime(), from: swap.from.id, to: swap.to.id };
      requireHousehold(actor, answererOf(open, answer));
      const state = stateNow(open, facts.now.getTime());
      if (state !== 'proposed') {
        if (swap.state === 'proposed') await this.close(tx, actor, id, 'lapsed', facts);
        return { refused: { code: 'swap-closed', detail: `This swap is ${state}.`, params: { state }, errors: [] } };
      }
      requireVersion(swap.version, version);
      if (answer === 'accept') {
        const refusal = await this.move(tx, actor, swap, facts);
        if (refusal) {
          await this.close(tx, actor, id, 'lapsed', facts);
          const { code, message, params, errors } = refusal;
          return { refused: { code, detail: message, params, errors } };
        }
      }
      await this.close(tx, actor, id, stateAfter[answer] as TurnSwapRow['state'], facts);
      await this.notices.answered(tx, actor, swap, answer);
      return { swap: await this.viewOf(tx, actor, id, facts.now) };
    });
    if ('swap' in outcome) return outcome.swap;
    const { code, detail, params, errors } = outcome.refused;
    throw new DomainError(code, detail, { params, errors: [...errors] });
  }

  private async move(tx: Tx, actor: Actor, swap: TurnSwapRow, facts: RotaFacts): Promise<DomainError | null> {
    const turns = await this.rows.byIds(tx, actor, [swap.givesTurnId, swap.getsTurnId]);
    const [gives, gets] = [turns.get(swap.givesTurnId), turns.get(swap.getsTurnId)];
    if (gives?.household?.id !== swap.from.id || gets?.household?.id !== swap.to.id) {
      return moved('One of these turns is not whose it was');
    }
    const refusal = await this.whyNot(tx, actor, facts, gives, gets);
    if (refusal) return refusal;
    const [from, to] = [swap.from.id, swap.to.id];
    await this.turns.move(tx, actor, gives, { turnId: gives.id, from, to, kind: 'swap', documentId: swap.id });
    await this.turns.move(tx, actor, gets, { turnId: gets.id, from: to, to: from, kind: 'swap', documentId: swap.id });
    await this.ledger.post(tx, actor, {
      ...turnsSwapped({ from, facts: { week: gives.weekOf } }, { from: to, facts: { week: gets.weekOf } }),
      reason: `${swap.from.name} and ${swap.to.name} swapped turns`,
      facts: { from: swap.from.name, to: swap.to.name },
      documentId: swap.id,
      occurredOn: facts.today,
    });
    await tell(tx, actor, 'accounts');
    return null;
  }

  /** Why two turns cannot be swapped: one is over, both are of one week, or a limit would be broken that is kept now. */
  private async whyNot(
    tx: Tx,
    actor: Actor,
    facts: RotaFacts,
    gives: TurnRow,
    gets: TurnRow,
  ): Promise<DomainError | null> {
    if (gives.weekOf === gets.weekOf) return moved('Both turns are in one week');
    for (const turn of [gives, gets]) {
      const over = await this.turns.whyOver(tx, actor, turn, facts);
      if (over) return over;
    }
    const [giver, getter] = [gives.household?.id ?? '', gets.household?.id ?? ''];
    const left = [giver, getter].find((id) => !facts.households.some((household) => household.id === id));
    if (left !== undefined) return householdLeft(facts.names.get(left) ?? '');
    for (const [turn, household] of [
      [gives, getter],
      [gets, giver],
    ] as const) {
      const present = await this.rows.between(tx, actor, turn.weekOf, turn.weekOf);
      if (present.some((other) => other.household?.id === household)) {
        return moved('One of the households cooks in both weeks already');
      }
    }
    const broken = await this.turns.brokenBy(tx, actor, facts, [
      { turn: gives, to: getter },
      { turn: gets, to: giver },
    ]);
    return broken.length === 0 ? null : this.turns.refusal(tx, actor, facts, broken);
  }

  private async close(
    tx: Tx,
    actor: Actor,
    id: string,
    state: TurnSwapRow['state'],
    { now }: RotaFacts,
  ): Promise<void> {
    await this.swaps.close(tx, actor, id, state, now);
    await tell(tx, actor, 'rota', id);
  }

  private async viewOf(tx: Tx, actor: Actor, id: string, now: Date): Promise<SwapView> {
    const [view] = await this.views(tx, actor, [(await this.swaps.find(tx, actor, id)) as TurnSwapRow], now);
    return view as SwapView;
  }

  private async views(tx: Tx, actor: Actor, rows: readonly TurnSwapRow[], now: Date): Promise<SwapView[]> {
    const turns = await this.rows.byIds(
      tx,
      actor,
      rows.flatMap(({ givesTurnId, getsTurnId }) => [givesTurnId, getsTurnId]),
    );
    return rows.map((row) => {
      const open = { state: row.state, openUntil: row.openUntil.getTime(), from: row.from.id, to: row.to.id };
      return {
        id: row.id,
        from: row.from,
        to: row.to,
        gives: turnView(turns.get(row.givesTurnId) as TurnRow),
        gets: turnView(turns.get(row.getsTurnId) as TurnRow),
        state: stateNow(open, now.getTime()) as SwapView['state'],
        words: row.words,
        openUntil: row.openUntil.toISOString(),
        createdAt: row.createdAt.toISOString(),
        answeredAt: row.answeredAt?.toISOString() ?? null,
        version: row.version,
      };
    });
  }
}

/** A refusal in plain JSON, since it is kept with its effect. */
type Refused = Pick<DomainError, 'code' | 'errors' | 'params'> & { detail: string };
