import { Injectable } from '@nestjs/common';
import { DomainError } from '@frostmoot/calc';
import type { rotaTurnHistory } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { draftView, turnView, type RotaView } from './draft.view.ts';
import { RotaFactsService } from './rota-facts.service.ts';
import { RotaTurnsRepository } from './rota-turns.repository.ts';
import { RotasRepository } from './rotas.repository.ts';

/** The rota as it stands: the draft and the published turns. Open to every member. */
@Injectable()
export class RotaService {
  constructor(
    private readonly unitOfWork: UnitOfWork,
    private readonly rotas: RotasRepository,
    private readonly turns: RotaTurnsRepository,
    private readonly facts: RotaFactsService,
  ) {}

  view(actor: Actor): Promise<RotaView> {
    return this.unitOfWork.read(actor, (tx) => this.viewIn(tx, actor));
  }

  /** The view inside a transaction, after what it changed. */
  async viewIn(tx: Tx, actor: Actor): Promise<RotaView> {
    const facts = await this.facts.of(tx, actor);
    const draft = await this.rotas.draft(tx, actor);
    const turns = (await this.turns.from(tx, actor, facts.thisMonday)).map(turnView);
    if (!draft) return { today: facts.today, draft: null, turns };
    const there = new Set(facts.households.map(({ id }) => id));
    // Who has left since stays out of it, as when it is published.
    draft.turns = draft.turns.filter(({ householdId }) => there.has(householdId));
    const judged = await this.facts.judge(tx, actor, facts, draft.weeks, draft.turns);
    const dishes = await this.rotas.recipes(
      tx,
      actor,
      draft.weeks.flatMap((week) => week.dishes),
    );
    const names = new Map([...dishes].map(([id, { name }]) => [id, name]));
    return { today: facts.today, draft: draftView(draft, facts, judged, names), turns };
  }

  history(actor: Actor, turnId: string): Promise<z.infer<typeof rotaTurnHistory>> {
    return this.unitOfWork.read(actor, async (tx) => {
      const turn = await this.turns.find(tx, actor, turnId);
      if (!turn) throw new DomainError('not-found', 'There is no such turn');
      const { names } = await this.facts.of(tx, actor);
      const named = (id: string | null) => (id === null ? null : { id, name: names.get(id) ?? '' });
      const moves = await this.turns.history(tx, actor, turnId);
      return {
        turn: turnView(turn),
        moves: moves.map(({ kind, fromHouseholdId, toHouseholdId, by, createdAt }) => ({
          kind,
          from: named(fromHouseholdId),
          to: named(toHouseholdId),
          by,
          at: createdAt.toISOString(),
        })),
      };
    });
  }
}
