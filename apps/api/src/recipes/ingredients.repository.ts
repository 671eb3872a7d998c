import { Injectable } from '@nestjs/common';
import { DomainError } from '@frostmoot/calc';
import type { Ingredient } from '../generated/prisma/client.ts';
import { newId } from '../platform/db/ids.ts';
import { onUnique } from '../platform/db/on-unique.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

export type IngredientRow = Ingredient;
export type IngredientFields = Pick<
  IngredientRow,
  'name' | 'baseUnit' | 'density' | 'densitySource' | 'allergens' | 'freeOf' | 'tags'
>;

const nameTaken = { ingredient_cooperative_id_name_key: 'conflict' } as const;

@Injectable()
export class IngredientsRepository {
  list(tx: Tx, { cooperativeId }: Scope): Promise<IngredientRow[]> {
    return tx.ingredient.findMany({ where: { cooperativeId }, orderBy: [{ name: 'asc' }, { id: 'asc' }] });
  }

  byIds(tx: Tx, { cooperativeId }: Scope, ids: readonly string[]): Promise<IngredientRow[]> {
    return tx.ingredient.findMany({ where: { cooperativeId, id: { in: [...new Set(ids)] } } });
  }

  /** The rows, held against change until the transaction ends: what is checked against their units stays true. */
  async hold(tx: Tx, scope: Scope, ids: readonly string[]): Promise<IngredientRow[]> {
    const sorted = [...new Set(ids)].sort();
    await tx.$queryRaw`
      SELECT 1 FROM ingredient WHERE cooperative_id = ${scope.cooperativeId}::uuid AND id = ANY(${sorted}::uuid[]) ORDER BY id FOR SHARE`;
    return this.byIds(tx, scope, sorted);
  }

  /** The row, locked until the transaction ends, so that what is checked of it still holds when it changes. */
  async lock(tx: Tx, scope: Scope, id: string): Promise<IngredientRow> {
    await tx.$queryRaw`SELECT 1 FROM ingredient WHERE cooperative_id = ${scope.cooperativeId}::uuid AND id = ${id}::uuid FOR UPDATE`;
    const [row] = await this.byIds(tx, scope, [id]);
    if (!row) throw new DomainError('not-found', 'There is no such ingredient');
    return row;
  }

  create(tx: Tx, { cooperativeId }: Scope, fields: IngredientFields): Promise<IngredientRow> {
    const work = tx.ingredient.create({ data: { cooperativeId, id: newId(), ...fields } });
    return onUnique(work, nameTaken, `There is an ingredient "${fields.name}" already`);
  }

  update(tx: Tx, { cooperativeId }: Scope, id: string, fields: IngredientFields): Promise<IngredientRow> {
    const work = tx.ingredient.update({
      where: { cooperativeId_id: { cooperativeId, id } },
      data: { ...fields, version: { increment: 1 } },
    });
    return onUnique(work, nameTaken, `There is an ingredient "${fields.name}" already`);
  }

  /** Whether a recipe or an offer counts on its base unit and density. */
  async isUsed(tx: Tx, { cooperativeId }: Scope, ingredientId: string): Promise<boolean> {
    const where = { cooperativeId, ingredientId };
    return (await tx.recipeLine.count({ where })) > 0 || (await tx.offer.count({ where })) > 0;
  }
}
