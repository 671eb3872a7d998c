import { Injectable } from '@nestjs/common';
import { fromDate, toDate } from '../platform/db/dates.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

/** What a household's turns depend on; its pots are those of its kitchen. */
export interface CookingRow {
  id: string;
  name: string;
  /** what its pots hold together; null: not said yet */
  potMl: number | null;
  minGapWeeks: number;
  awayWeeks: string[];
  dishes: { id: string; name: string }[];
  version: number;
}

export interface CookingFields {
  minGapWeeks: number;
  /** Mondays */
  awayWeeks: readonly string[];
  recipeIds: readonly string[];
}

/** Pots, rest, away weeks and dishes of households, as far as turns depend on them. */
@Injectable()
export class CookingRepository {
  async all(tx: Tx, { cooperativeId }: Scope, ids?: readonly string[]): Promise<CookingRow[]> {
    const rows = await tx.household.findMany({
      where: { cooperativeId, ...(ids ? { id: { in: [...ids] } } : {}) },
      include: {
        awayWeeks: { orderBy: { weekOf: 'asc' } },
        cookingSkills: {
          where: { recipe: { retiredAt: null } },
          include: { recipe: { select: { id: true, name: true } } },
        },
      },
      orderBy: { name: 'asc' },
    });
    return rows.map((row) => ({
      id: row.id,
      name: row.name,
      potMl: row.potMl,
      minGapWeeks: row.minGapWeeks,
      awayWeeks: row.awayWeeks.map(({ weekOf }) => fromDate(weekOf)),
      dishes: row.cookingSkills.map(({ recipe }) => recipe).sort((a, b) => (a.name < b.name ? -1 : 1)),
      version: row.version,
    }));
  }

  /** Puts these in the place of what was there; false when the household has changed since that version. */
  async save(tx: Tx, { cooperativeId }: Scope, id: string, version: number, fields: CookingFields): Promise<boolean> {
    const { minGapWeeks, awayWeeks, recipeIds } = fields;
    const { count } = await tx.household.updateMany({
      where: { cooperativeId, id, version },
      data: { minGapWeeks, version: { increment: 1 } },
    });
    if (count === 0) return false;
    await tx.awayWeek.deleteMany({ where: { cooperativeId, householdId: id } });
    await tx.awayWeek.createMany({
      data: awayWeeks.map((weekOf) => ({ cooperativeId, householdId: id, weekOf: toDate(weekOf) })),
    });
    await tx.cookingSkill.deleteMany({ where: { cooperativeId, householdId: id } });
    await tx.cookingSkill.createMany({
      data: recipeIds.map((recipeId) => ({ cooperativeId, householdId: id, recipeId })),
    });
    return true;
  }
}
