import { Injectable } from '@nestjs/common';
import { allergensOf } from '@frostmoot/calc';
import type { DishAllergens } from '@frostmoot/calc';
import { LedgerRepository } from '../accounts/ledger.repository.ts';
import { NoticesService } from '../notices/notices.service.ts';
import type { Actor } from '../platform/auth/actor.ts';
import { Clock } from '../platform/clock/clock.ts';
import { dayOf } from '../platform/clock/day-of.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { tell } from '../platform/events/tell.ts';
import { DeclaredLaterRepository } from './declared-later.repository.ts';
import type { IngredientRow } from './ingredients.repository.ts';

/** Carries what is declared of an ingredient into every recipe version with it inside, and warns who holds what was made by them. */
@Injectable()
export class DeclaredLater {
  constructor(
    private readonly later: DeclaredLaterRepository,
    private readonly ledger: LedgerRepository,
    private readonly notices: NoticesService,
    private readonly clock: Clock,
  ) {}

  async spread(tx: Tx, actor: Actor, ingredient: IngredientRow): Promise<void> {
    const { withGroups, unfitFor } = aloneIn(ingredient);
    const brings = { ingredientId: ingredient.id, allergens: withGroups, unfitFor };
    if ((await this.later.lacking(tx, actor, brings)).length === 0) return;
    await this.lockBooks(tx, actor);
    const lacking = await this.later.lacking(tx, actor, brings);
    await this.warnHolders(tx, actor, brings);
    await this.later.grow(tx, actor, ingredient.id, lacking);
    const { today } = await dayOf(tx, actor, this.clock);
    await this.later.unkeep(tx, actor, lacking, today);
    for (const recipeId of new Set(lacking.map((each) => each.recipeId))) await tell(tx, actor, 'recipes', recipeId);
    for (const topic of ['rounds', 'share-outs', 'swaps', 'stock'] as const) await tell(tx, actor, topic);
  }

  /** Whoever gives a container to a household locks its account first: what is under way ends before this, and what comes after knows of it. */
  private async lockBooks(tx: Tx, actor: Actor): Promise<void> {
    const households = await this.later.households(tx, actor);
    await this.ledger.lockAccounts(tx, actor, [
      { book: 'portions', account: { kind: 'common' } },
      ...households.map((householdId) => ({
        book: 'portions' as const,
        account: { kind: 'household' as const, householdId },
      })),
    ]);
  }

  /** What was cooked and shared before is not made again; who holds it and must not eat it is told, in words that tell nobody of what. */
  private async warnHolders(
    tx: Tx,
    actor: Actor,
    brings: { ingredientId: string; allergens: string[]; unfitFor: string[] },
  ): Promise<void> {
    for (const { householdId, dish, codes } of await this.later.holders(tx, actor, brings)) {
      const facts = { dish, codes: codes.slice(0, 12).join(', '), n: codes.length };
      const notice = { householdIds: [householdId], kind: 'allergen-declared' as const, facts };
      await this.notices.give(tx, actor, { ...notice, subjectId: brings.ingredientId });
    }
  }
}

/** What an ingredient brings by itself, as declared. */
const aloneIn = ({ id, allergens, freeOf, tags }: IngredientRow): DishAllergens =>
  allergensOf(
    'alone',
    new Map([['alone', { id: 'alone', lines: [{ item: id }] }]]),
    new Map([[id, { allergens, freeOf, tags }]]),
  );
