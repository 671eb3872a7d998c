import { Injectable } from '@nestjs/common';
import { comingWeeks, DomainError, invalidInput } from '@frostmoot/calc';
import type { householdCooking, saveHouseholdCooking } from '@frostmoot/contract';
import type { z } from 'zod';
import { requireHousehold, type Actor } from '../platform/auth/actor.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { tell } from '../platform/events/tell.ts';
import { requireVersion } from '../platform/http/if-match.ts';
import { RecipesRepository } from '../recipes/recipes.repository.ts';
import { CookingRepository, type CookingRow } from './cooking.repository.ts';

export type CookingView = z.infer<typeof householdCooking>;

/** What a household's turns depend on: its rest, when it is away and what it can cook. */
@Injectable()
export class CookingService {
  constructor(
    private readonly unitOfWork: UnitOfWork,
    private readonly cooking: CookingRepository,
    private readonly recipes: RecipesRepository,
  ) {}

  get(actor: Actor, householdId: string): Promise<CookingView> {
    return this.unitOfWork.read(actor, async (tx) => viewOf(await this.require(tx, actor, householdId)));
  }

  save(
    actor: Actor,
    householdId: string,
    version: number,
    typed: z.infer<typeof saveHouseholdCooking>,
  ): Promise<CookingView> {
    return this.unitOfWork.write(actor, async (tx) => {
      const present = await this.require(tx, actor, householdId);
      requireHousehold(actor, householdId);
      requireVersion(present.version, version);
      const recipeIds = [...new Set(typed.recipeIds)];
      const known = await this.recipes.currentVersions(tx, actor, recipeIds);
      const faults = recipeIds.flatMap((id) =>
        known.has(id)
          ? []
          : [{ pointer: `#/recipeIds/${typed.recipeIds.indexOf(id)}`, detail: 'There is no such recipe.' }],
      );
      if (faults.length > 0) throw invalidInput(faults);
      const fields = {
        minGapWeeks: typed.minGapWeeks,
        awayWeeks: [...new Set(typed.awayWeeks.flatMap((day) => comingWeeks(day, 1)))],
        recipeIds,
      };
      if (!(await this.cooking.save(tx, actor, householdId, version, fields))) {
        throw new DomainError('precondition-failed', 'The household has changed since you read it');
      }
      await tell(tx, actor, 'households', householdId);
      await tell(tx, actor, 'rota');
      return viewOf(await this.require(tx, actor, householdId));
    });
  }

  private async require(tx: Tx, actor: Actor, id: string): Promise<CookingRow> {
    const [row] = await this.cooking.all(tx, actor, [id]);
    if (!row) throw new DomainError('not-found', 'There is no such household');
    return row;
  }
}

const viewOf = ({ id, name, minGapWeeks, awayWeeks, dishes, version }: CookingRow): CookingView => ({
  household: { id, name },
  minGapWeeks,
  awayWeeks,
  dishes,
  version,
});
