import { Injectable } from '@nestjs/common';
import { DomainError, invalidInput } from '@frostmoot/calc';
import type { saveRotaTurns } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { tell } from '../platform/events/tell.ts';
import { requireVersion } from '../platform/http/if-match.ts';
import type { RotaView } from './draft.view.ts';
import { RotaFactsService, type RotaFacts } from './rota-facts.service.ts';
import { RotaService } from './rota.service.ts';
import { RotaTurnsRepository } from './rota-turns.repository.ts';
import { RotasRepository, type RotaRow } from './rotas.repository.ts';

/** A draft is changed by hand, what it breaks is accepted, or it is set aside. */
@Injectable()
export class DraftService {
  constructor(
    private readonly unitOfWork: UnitOfWork,
    private readonly rotas: RotasRepository,
    private readonly turns: RotaTurnsRepository,
    private readonly facts: RotaFactsService,
    private readonly view: RotaService,
  ) {}

  /** Any household may be put in any week of the draft: what that breaks is said, and only publishing asks whether it is meant. */
  saveTurns(actor: Actor, id: string, version: number, { turns }: z.infer<typeof saveRotaTurns>): Promise<RotaView> {
    return this.change(actor, id, version, async (tx, draft, { households }) => {
      const weeks = new Set(draft.weeks.map(({ weekOf }) => weekOf));
      const known = new Set(households.map((each) => each.id));
      const seen = new Set<string>();
      const faults = turns.flatMap(({ weekOf, householdId }, index) => {
        const at = (key: string, detail: string) => [{ pointer: `#/turns/${index}/${key}`, detail }];
        if (!weeks.has(weekOf)) return at('weekOf', 'The draft has no such week.');
        if (!known.has(householdId)) return at('householdId', 'There is no such household.');
        const key = `${weekOf} ${householdId}`;
        if (seen.has(key)) return at('householdId', 'This household has a turn in this week already.');
        seen.add(key);
        return [];
      });
      if (faults.length > 0) throw invalidInput(faults);
      await this.rotas.change(tx, actor, id, { turns });
    });
  }

  /** Says that the limits which the turns break now may be broken. */
  acceptLimits(actor: Actor, id: string, version: number): Promise<RotaView> {
    return this.change(actor, id, version, async (tx, draft, facts) => {
      const { broken } = await this.facts.judge(tx, actor, facts, draft.weeks, draft.turns);
      await this.rotas.change(tx, actor, id, { accepted: broken });
    });
  }

  setAside(actor: Actor, id: string, version: number): Promise<RotaView> {
    return this.change(actor, id, version, (tx) => this.rotas.setAside(tx, actor));
  }

  private change(
    actor: Actor,
    id: string,
    version: number,
    work: (tx: Tx, draft: RotaRow, facts: RotaFacts) => Promise<void>,
  ): Promise<RotaView> {
    return this.unitOfWork.write(actor, async (tx) => {
      await this.turns.lock(tx, actor);
      const draft = await openDraft(this.rotas, tx, actor, id, version);
      await work(tx, draft, await this.facts.of(tx, actor));
      await tell(tx, actor, 'rota');
      return this.view.viewIn(tx, actor);
    });
  }
}

/** The draft that is to be changed, as it was read. */
export async function openDraft(
  rotas: RotasRepository,
  tx: Tx,
  actor: Actor,
  id: string,
  version: number,
): Promise<RotaRow> {
  const draft = await rotas.find(tx, actor, id);
  if (!draft) throw new DomainError('not-found', 'There is no such draft');
  if (draft.state !== 'draft') {
    const detail = draft.state === 'published' ? 'This rota is published already' : 'Another draft took its place';
    throw new DomainError('already-confirmed', detail);
  }
  requireVersion(draft.version, version);
  return draft;
}
