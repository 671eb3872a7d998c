import { Injectable } from '@nestjs/common';
import { newId } from '../platform/db/ids.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

export interface OfferRow {
  id: string;
  householdId: string;
  containerId: string;
  version: number;
  inRing: boolean;
}
export interface WishRow {
  id: string;
  householdId: string;
  dish: { id: string; name: string };
  containers: number;
  score: number;
  version: number;
  /** containers that wait for it in rings */
  inRings: number;
  unfit: string[];
}

/** What households hold out and what they wish for, as long as it lives. */
@Injectable()
export class OfferRepository {
  /** Live offers, everybody's; what waits in a ring says so. */
  offers(tx: Tx, scope: Scope, now: Date): Promise<OfferRow[]> {
    return tx.$queryRaw<OfferRow[]>`
      SELECT o.id::text, o.household_id::text AS "householdId", o.container_id::text AS "containerId", o.version,
        EXISTS (SELECT FROM swap_ring_part p JOIN swap_ring r ON r.cooperative_id = p.cooperative_id AND r.id = p.ring_id
          WHERE p.cooperative_id = o.cooperative_id AND p.container_id = o.container_id AND r.state = 'proposed' AND r.open_until > ${now}) AS "inRing"
      FROM swap_offer o WHERE o.cooperative_id = ${scope.cooperativeId}::uuid AND o.ended_at IS NULL ORDER BY o.id`;
  }

  /** Live wishes, of one household or everybody's, with the subjects for which somebody of the household must not eat the dish as it is made now. */
  wishes(tx: Tx, scope: Scope, now: Date, householdId: string | null = null): Promise<WishRow[]> {
    return tx.$queryRaw<WishRow[]>`
      SELECT w.id::text, w.household_id::text AS "householdId", json_build_object('id', r.id, 'name', r.name) AS dish, w.containers, w.score, w.version,
        (SELECT count(*)::int FROM swap_ring_part p JOIN swap_ring g ON g.cooperative_id = p.cooperative_id AND g.id = p.ring_id
          WHERE p.cooperative_id = w.cooperative_id AND p.wish_id = w.id AND g.state = 'proposed' AND g.open_until > ${now}) AS "inRings",
        unfit_dish(w.cooperative_id, w.recipe_id, w.household_id) AS unfit
      FROM swap_wish w JOIN recipe r ON r.cooperative_id = w.cooperative_id AND r.id = w.recipe_id
      WHERE w.cooperative_id = ${scope.cooperativeId}::uuid AND w.ended_at IS NULL
        AND (${householdId}::uuid IS NULL OR w.household_id = ${householdId}::uuid)
      ORDER BY r.name, w.id`;
  }

  /** Subjects for which somebody of a household must not eat a dish as it is made now. */
  async unfitDish(tx: Tx, scope: Scope, recipeId: string, householdId: string): Promise<string[]> {
    const [row] = await tx.$queryRaw<[{ unfit: string[] }]>`
      SELECT unfit_dish(${scope.cooperativeId}::uuid, ${recipeId}::uuid, ${householdId}::uuid) AS unfit`;
    return row.unfit;
  }

  /** Dishes that a household may wish for: eaten by themselves, still made or still held, and fit for everybody of it. */
  dishes(tx: Tx, scope: Scope, householdId: string): Promise<{ id: string; name: string }[]> {
    return tx.$queryRaw`
      SELECT r.id::text, r.name FROM recipe r
      WHERE r.cooperative_id = ${scope.cooperativeId}::uuid
        AND unfit_dish(r.cooperative_id, r.id, ${householdId}::uuid) = '{}'
        AND (EXISTS (SELECT FROM recipe_version v JOIN batch b ON b.cooperative_id = v.cooperative_id AND b.recipe_version_id = v.id
              JOIN container c ON c.cooperative_id = b.cooperative_id AND c.batch_id = b.id
              WHERE v.cooperative_id = r.cooperative_id AND v.recipe_id = r.id AND c.state = 'sealed')
          OR r.retired_at IS NULL AND EXISTS (SELECT FROM recipe_version v
              WHERE v.cooperative_id = r.cooperative_id AND v.recipe_id = r.id AND v.portions IS NOT NULL))
      ORDER BY r.name`;
  }

  /** Dishes of which something that is held out is not fit for a household that wishes for them. */
  excludedDishes(tx: Tx, scope: Scope, today: string): Promise<{ householdId: string; recipeId: string }[]> {
    return tx.$queryRaw`
      SELECT DISTINCT w.household_id::text AS "householdId", w.recipe_id::text AS "recipeId"
      FROM swap_wish w
      JOIN recipe_version v ON v.cooperative_id = w.cooperative_id AND v.recipe_id = w.recipe_id
      JOIN batch b ON b.cooperative_id = v.cooperative_id AND b.recipe_version_id = v.id
      JOIN container c ON c.cooperative_id = b.cooperative_id AND c.batch_id = b.id
      JOIN swap_offer o ON o.cooperative_id = c.cooperative_id AND o.container_id = c.id AND o.ended_at IS NULL
      WHERE w.cooperative_id = ${scope.cooperativeId}::uuid AND w.ended_at IS NULL AND o.household_id <> w.household_id
        AND excluded_subjects(c.cooperative_id, c.id, w.household_id, ${today}::date) <> '{}'`;
  }

  async hasRecipe(tx: Tx, { cooperativeId }: Scope, id: string): Promise<boolean> {
    return (await tx.recipe.count({ where: { cooperativeId, id } })) > 0;
  }

  /** Holds out containers that are locked; those that are held out already stay as they are. */
  async offer(tx: Tx, scope: Scope, householdId: string, containerIds: readonly string[]): Promise<void> {
    await tx.swapOffer.createMany({
      data: containerIds.map((containerId) => ({
        cooperativeId: scope.cooperativeId,
        id: newId(),
        householdId,
        containerId,
        createdBy: scope.personId,
      })),
      skipDuplicates: true,
    });
  }

  findOffer(tx: Tx, { cooperativeId }: Scope, id: string) {
    return tx.swapOffer.findFirst({ where: { cooperativeId, id, endedAt: null } });
  }

  /** False when it has changed since, or ended. */
  async takeBack(tx: Tx, { cooperativeId }: Scope, id: string, version: number, at: Date): Promise<boolean> {
    const { count } = await tx.swapOffer.updateMany({
      where: { cooperativeId, id, version, endedAt: null },
      data: { endedAt: at, endedReason: 'taken-back', version: { increment: 1 } },
    });
    return count === 1;
  }

  /** A wish, in the place of one for the same dish. */
  async wish(
    tx: Tx,
    { cooperativeId, personId }: Scope,
    wish: { householdId: string; recipeId: string; containers: number; score: number },
  ): Promise<string> {
    const { householdId, recipeId, containers, score } = wish;
    const [row] = await tx.$queryRaw<[{ id: string }]>`
      INSERT INTO swap_wish (cooperative_id, id, household_id, recipe_id, containers, score, created_by)
        VALUES (${cooperativeId}::uuid, ${newId()}::uuid, ${householdId}::uuid, ${recipeId}::uuid, ${containers}, ${score}, ${personId}::uuid)
      ON CONFLICT (cooperative_id, household_id, recipe_id) WHERE ended_at IS NULL
        DO UPDATE SET containers = EXCLUDED.containers, score = EXCLUDED.score, version = swap_wish.version + 1
      RETURNING id::text`;
    return row.id;
  }

  findWish(tx: Tx, { cooperativeId }: Scope, id: string) {
    return tx.swapWish.findFirst({ where: { cooperativeId, id, endedAt: null } });
  }

  async removeWish(tx: Tx, { cooperativeId }: Scope, id: string, version: number, at: Date): Promise<boolean> {
    const { count } = await tx.swapWish.updateMany({
      where: { cooperativeId, id, version, endedAt: null },
      data: { endedAt: at, version: { increment: 1 } },
    });
    return count === 1;
  }

  /** Takes off a wish what a ring has brought; one that is met has ended. */
  async meet(tx: Tx, { cooperativeId }: Scope, wishIds: readonly string[], at: Date): Promise<void> {
    for (const id of [...wishIds].sort()) {
      await tx.$executeRaw`
        UPDATE swap_wish SET containers = containers - 1, version = version + 1, ended_at = CASE WHEN containers = 1 THEN ${at}::timestamptz END
        WHERE cooperative_id = ${cooperativeId}::uuid AND id = ${id}::uuid AND ended_at IS NULL`;
    }
  }
}
