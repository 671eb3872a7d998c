import { Injectable } from '@nestjs/common';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

export interface HeldUnfit {
  householdId: string;
  dish: string;
  codes: string[];
}

/** Who holds something that is newly known to be unfit for somebody of them. */
@Injectable()
export class DeclaredLaterRepository {
  /** Households with a diner who must not eat one of the subjects, and their sealed containers with the ingredient in them, directly or through a base. */
  holders(tx: Tx, { cooperativeId }: Scope, ingredientId: string, subjects: readonly string[]): Promise<HeldUnfit[]> {
    return tx.$queryRaw<HeldUnfit[]>`
      WITH RECURSIVE made_with (version_id) AS (
        SELECT l.recipe_version_id FROM recipe_line l WHERE l.cooperative_id = ${cooperativeId}::uuid AND l.ingredient_id = ${ingredientId}::uuid
        UNION
        SELECT l.recipe_version_id FROM made_with m
          JOIN recipe_line l ON l.cooperative_id = ${cooperativeId}::uuid AND l.component_version_id = m.version_id
      )
      SELECT c.holder_household_id::text AS "householdId", r.name AS dish, array_agg(b.lot_code || '-' || c.number ORDER BY b.lot_code, c.number) AS codes
      FROM made_with m
      JOIN batch b ON b.cooperative_id = ${cooperativeId}::uuid AND b.recipe_version_id = m.version_id
      JOIN recipe_version v ON v.cooperative_id = b.cooperative_id AND v.id = b.recipe_version_id
      JOIN recipe r ON r.cooperative_id = v.cooperative_id AND r.id = v.recipe_id
      JOIN container c ON c.cooperative_id = b.cooperative_id AND c.batch_id = b.id AND c.state = 'sealed'
      WHERE EXISTS (SELECT FROM diner d JOIN diner_restriction x ON x.cooperative_id = d.cooperative_id AND x.diner_id = d.id
        WHERE d.cooperative_id = ${cooperativeId}::uuid AND d.household_id = c.holder_household_id AND x.strength = 'hard'
          AND x.subject = ANY(${[...subjects]}::text[]) AND NOT x.subject = ANY(v.unfit_for))
      GROUP BY c.holder_household_id, r.name ORDER BY 1, 2`;
  }
}
