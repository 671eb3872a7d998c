import { Injectable } from '@nestjs/common';
import type { Prisma } from '../generated/prisma/client.ts';
import { newId } from '../platform/db/ids.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

const withVersion = {
  recipeVersion: { include: { recipe: { select: { id: true, name: true } } } },
} satisfies Prisma.RoundDishInclude;

type Loaded = Prisma.RoundDishGetPayload<{ include: typeof withVersion }>;

/** A dish of a round with its version; portions are there because only dishes with portions are taken in. */
export interface DishRow {
  id: string;
  batches: number;
  portionsPerBatch: number;
  version: Loaded['recipeVersion'];
}

@Injectable()
export class DishesRepository {
  /** The dishes in the order in which they were taken in, which is the order of their letters. */
  async ofRound(tx: Tx, { cooperativeId }: Scope, roundId: string): Promise<DishRow[]> {
    const rows = await tx.roundDish.findMany({
      where: { cooperativeId, roundId },
      include: withVersion,
      orderBy: { id: 'asc' },
    });
    return rows.map(({ id, batches, recipeVersion }) => ({
      id,
      batches,
      portionsPerBatch: recipeVersion.portions ?? 0,
      version: recipeVersion,
    }));
  }

  /** Leaves exactly these dishes; one that was there keeps its place. */
  async replace(
    tx: Tx,
    scope: Scope,
    roundId: string,
    wanted: readonly { recipeId: string; versionId: string; batches: number }[],
  ): Promise<void> {
    const { cooperativeId } = scope;
    const present = await this.ofRound(tx, scope, roundId);
    const kept = new Map(present.map((dish) => [dish.version.recipeId, dish.id]));
    const wantedRecipes = new Set(wanted.map(({ recipeId }) => recipeId));
    const gone = present.filter((dish) => !wantedRecipes.has(dish.version.recipeId)).map(({ id }) => id);
    await tx.roundDish.deleteMany({ where: { cooperativeId, roundId, id: { in: gone } } });
    for (const { recipeId, versionId, batches } of wanted) {
      const id = kept.get(recipeId);
      const data = { recipeVersionId: versionId, batches };
      if (id === undefined) await tx.roundDish.create({ data: { cooperativeId, id: newId(), roundId, ...data } });
      else await tx.roundDish.update({ where: { cooperativeId_id: { cooperativeId, id } }, data });
    }
  }

  /** Portions planned and made of every round, for the list. */
  async portionsByRound(
    tx: Tx,
    { cooperativeId }: Scope,
  ): Promise<Map<string, { planned: number; made: number | null }>> {
    const rows = await tx.$queryRaw<{ id: string; planned: number; made: number | null }[]>`
      SELECT r.id::text,
        (SELECT coalesce(sum(d.batches * v.portions), 0)::int FROM round_dish d
          JOIN recipe_version v ON v.cooperative_id = d.cooperative_id AND v.id = d.recipe_version_id
          WHERE d.cooperative_id = r.cooperative_id AND d.round_id = r.id) AS planned,
        (SELECT sum(b.actual_portions)::int FROM batch b WHERE b.cooperative_id = r.cooperative_id AND b.round_id = r.id) AS made
      FROM round r WHERE r.cooperative_id = ${cooperativeId}::uuid`;
    return new Map(rows.map(({ id, planned, made }) => [id, { planned, made }]));
  }
}
