import { Injectable } from '@nestjs/common';
import { newId } from '../platform/db/ids.ts';
import { Prisma } from '../generated/prisma/client.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

export interface HeldUnfit {
  householdId: string;
  dish: string;
  codes: string[];
}

/** What an ingredient brings by itself, as it is declared now. */
export interface Brings {
  ingredientId: string;
  allergens: readonly string[];
  unfitFor: readonly string[];
}

/** What a version does not say yet. */
export interface Lacking {
  versionId: string;
  recipeId: string;
  allergens: string[];
  unfitFor: string[];
}

/** Every version with the ingredient inside, directly or through a component, however deep. */
const madeWith = ({ cooperativeId }: Scope, ingredientId: string) => Prisma.sql`
  made_with (version_id) AS (
    SELECT l.recipe_version_id FROM recipe_line l WHERE l.cooperative_id = ${cooperativeId}::uuid AND l.ingredient_id = ${ingredientId}::uuid
    UNION
    SELECT l.recipe_version_id FROM made_with m
      JOIN recipe_line l ON l.cooperative_id = ${cooperativeId}::uuid AND l.component_version_id = m.version_id
  )`;

/** Recipe versions to which an allergen is added later, and who holds what was made by them. */
@Injectable()
export class DeclaredLaterRepository {
  lacking(tx: Tx, scope: Scope, { ingredientId, allergens, unfitFor }: Brings): Promise<Lacking[]> {
    return tx.$queryRaw<Lacking[]>`
      WITH RECURSIVE ${madeWith(scope, ingredientId)}
      SELECT v.id::text AS "versionId", v.recipe_id::text AS "recipeId",
        ARRAY(SELECT a COLLATE "C" FROM unnest(${[...allergens]}::text[]) a WHERE NOT a = ANY(v.allergens) ORDER BY 1) AS allergens,
        ARRAY(SELECT a COLLATE "C" FROM unnest(${[...unfitFor]}::text[]) a WHERE NOT a = ANY(v.unfit_for) ORDER BY 1) AS "unfitFor"
      FROM recipe_version v
      WHERE v.cooperative_id = ${scope.cooperativeId}::uuid AND v.id IN (SELECT version_id FROM made_with)
        AND NOT (v.allergens @> ${[...allergens]}::text[] AND v.unfit_for @> ${[...unfitFor]}::text[])
      ORDER BY v.id`;
  }

  async households(tx: Tx, { cooperativeId }: Scope): Promise<string[]> {
    const rows = await tx.household.findMany({ where: { cooperativeId }, select: { id: true } });
    return rows.map(({ id }) => id);
  }

  /** Households with a diner who must not eat what is new, and their sealed containers with the ingredient in them: held, or claimed before the share-out. */
  holders(tx: Tx, scope: Scope, { ingredientId, unfitFor }: Brings): Promise<HeldUnfit[]> {
    return tx.$queryRaw<HeldUnfit[]>`
      WITH RECURSIVE ${madeWith(scope, ingredientId)}
      SELECT w.household_id::text AS "householdId", r.name AS dish, array_agg(b.lot_code || '-' || c.number ORDER BY b.lot_code, c.number) AS codes
      FROM made_with m
      JOIN batch b ON b.cooperative_id = ${scope.cooperativeId}::uuid AND b.recipe_version_id = m.version_id
      JOIN recipe_version v ON v.cooperative_id = b.cooperative_id AND v.id = b.recipe_version_id
      JOIN recipe r ON r.cooperative_id = v.cooperative_id AND r.id = v.recipe_id
      JOIN container c ON c.cooperative_id = b.cooperative_id AND c.batch_id = b.id AND c.state = 'sealed'
      LEFT JOIN early_claim e ON e.cooperative_id = c.cooperative_id AND e.container_id = c.id
      CROSS JOIN LATERAL (SELECT coalesce(c.holder_household_id, e.household_id) AS household_id) w
      WHERE EXISTS (SELECT FROM diner d JOIN diner_restriction x ON x.cooperative_id = d.cooperative_id AND x.diner_id = d.id
        WHERE d.cooperative_id = ${scope.cooperativeId}::uuid AND d.household_id = w.household_id AND x.strength = 'hard'
          AND x.subject = ANY(${[...unfitFor]}::text[]) AND NOT x.subject = ANY(v.unfit_for))
      GROUP BY w.household_id, r.name ORDER BY 1, 2`;
  }

  /** Writes down what each version lacked, and adds it. */
  async grow(tx: Tx, scope: Scope, ingredientId: string, lacking: readonly Lacking[]): Promise<void> {
    const { cooperativeId, personId } = scope;
    // Not the start of the transaction: a claim that was there before the books were locked must not look later than this.
    const [clock] = await tx.$queryRaw<[{ now: Date }]>`SELECT clock_timestamp() AS now`;
    await tx.declaredLater.createMany({
      data: lacking.map(({ versionId, allergens, unfitFor }) => ({
        cooperativeId,
        id: newId(),
        recipeVersionId: versionId,
        ingredientId,
        allergens,
        unfitFor,
        createdBy: personId,
        createdAt: clock.now,
      })),
    });
    for (const { versionId, allergens, unfitFor } of lacking) {
      await tx.$executeRaw`
        UPDATE recipe_version SET allergens = ARRAY(SELECT a COLLATE "C" FROM unnest(allergens || ${allergens}::text[]) a ORDER BY 1),
          unfit_for = ARRAY(SELECT a COLLATE "C" FROM unnest(unfit_for || ${unfitFor}::text[]) a ORDER BY 1)
        WHERE cooperative_id = ${cooperativeId}::uuid AND id = ${versionId}::uuid`;
    }
  }

  /** What is kept for who must not eat it is kept for nobody; its household stands in line again. */
  async unkeep(tx: Tx, { cooperativeId }: Scope, lacking: readonly Lacking[], today: string): Promise<void> {
    await tx.$executeRaw`
      UPDATE waiting w SET state = 'waiting', container_id = NULL, kept_until = NULL, version = w.version + 1
      FROM container c JOIN batch b ON b.cooperative_id = c.cooperative_id AND b.id = c.batch_id
      WHERE w.cooperative_id = ${cooperativeId}::uuid AND w.state = 'kept' AND c.cooperative_id = w.cooperative_id AND c.id = w.container_id
        AND b.recipe_version_id = ANY(${lacking.map(({ versionId }) => versionId)}::uuid[])
        AND excluded_subjects(w.cooperative_id, c.id, w.household_id, ${today}::date) <> '{}'`;
  }
}
