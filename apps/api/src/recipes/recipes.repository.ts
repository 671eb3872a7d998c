import { Injectable } from '@nestjs/common';
import { DomainError } from '@frostmoot/calc';
import type { Prisma, Recipe } from '../generated/prisma/client.ts';
import { newId } from '../platform/db/ids.ts';
import { onUnique } from '../platform/db/on-unique.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

export interface NewVersion {
  makesQuantity: string;
  makesUnit: string;
  portions: number | null;
  containerPlan: Prisma.InputJsonValue;
  months: number;
  monthsSource: string;
  potLitres: string | null;
  notes: string;
  steps: Prisma.InputJsonValue;
  allergens: string[];
  unfitFor: string[];
  lines: readonly {
    ingredientId: string | null;
    componentVersionId: string | null;
    quantity: string;
    unit: string;
    edibleYield: string | null;
    note: string;
  }[];
}

const versionNumbers = { id: true, number: true, createdAt: true } as const;

@Injectable()
export class RecipesRepository {
  /** Recipes that are not retired, with their versions' numbers, the newest last. */
  list(tx: Tx, { cooperativeId }: Scope) {
    return tx.recipe.findMany({
      where: { cooperativeId, retiredAt: null },
      include: { versions: { select: versionNumbers, orderBy: { number: 'asc' } } },
      orderBy: [{ name: 'asc' }, { id: 'asc' }],
    });
  }

  async find(tx: Tx, { cooperativeId }: Scope, id: string) {
    const row = await tx.recipe.findUnique({
      where: { cooperativeId_id: { cooperativeId, id } },
      include: { versions: { select: versionNumbers, orderBy: { number: 'asc' } } },
    });
    if (!row) throw new DomainError('not-found', 'There is no such recipe');
    return row;
  }

  /** The newest version of each recipe that is there. */
  async currentVersions(tx: Tx, { cooperativeId }: Scope, recipeIds: readonly string[]): Promise<Map<string, string>> {
    const rows = await tx.recipeVersion.findMany({
      where: { cooperativeId, recipeId: { in: [...new Set(recipeIds)] }, recipe: { retiredAt: null } },
      select: { id: true, recipeId: true },
      orderBy: { number: 'asc' },
    });
    return new Map(rows.map(({ id, recipeId }) => [recipeId, id]));
  }

  create(tx: Tx, { cooperativeId }: Scope, name: string): Promise<Recipe> {
    const work = tx.recipe.create({ data: { cooperativeId, id: newId(), name } });
    return onUnique(
      work,
      { recipe_cooperative_id_name_key: 'conflict' },
      `There is a recipe "${name}" already; save another version of it, or choose another name`,
    );
  }

  /** Takes the recipe on to its next version number; false when it is not at the version named. */
  async bump(tx: Tx, { cooperativeId }: Scope, id: string, version: number): Promise<boolean> {
    const { count } = await tx.recipe.updateMany({
      where: { cooperativeId, id, version },
      data: { version: { increment: 1 } },
    });
    return count === 1;
  }

  async addVersion(
    tx: Tx,
    { cooperativeId, personId }: Scope,
    recipeId: string,
    number: number,
    { lines, ...fields }: NewVersion,
  ): Promise<void> {
    const id = newId();
    await tx.recipeVersion.create({ data: { cooperativeId, id, recipeId, number, createdBy: personId, ...fields } });
    await tx.recipeLine.createMany({
      data: lines.map((line, position) => ({ cooperativeId, id: newId(), recipeVersionId: id, position, ...line })),
    });
  }
}
