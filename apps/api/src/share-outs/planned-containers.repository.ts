import { Injectable } from '@nestjs/common';
import type { SharedContainer } from '@frostmoot/calc';
import { z } from 'zod';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

/** A batch of a round with what it made, or what it is planned to make. */
export interface BatchOfRound {
  id: string;
  lotCode: string;
  recipeId: string;
  dish: string;
  isPlanned: boolean;
  portions: number;
  /** containers as its recipe plans them; none once they are really there */
  planned: SharedContainer[];
}

const plan = z.array(z.object({ portions: z.number(), count: z.number(), millilitres: z.number().nullish() }));

/** Containers that are not there yet, as the recipes plan them. */
@Injectable()
export class PlannedContainersRepository {
  async batches(tx: Tx, { cooperativeId }: Scope, roundId: string): Promise<BatchOfRound[]> {
    const rows = await tx.batch.findMany({
      where: { cooperativeId, roundId },
      include: {
        recipeVersion: {
          select: { recipeId: true, unfitFor: true, containerPlan: true, recipe: { select: { name: true } } },
        },
      },
      orderBy: { lotCode: 'asc' },
    });
    return rows.map(({ id, lotCode, state, plannedPortions, actualPortions, recipeVersion }) => {
      const isPlanned = state === 'planned';
      const { recipeId, unfitFor, containerPlan, recipe } = recipeVersion;
      const sizes = isPlanned
        ? plan.parse(containerPlan).flatMap((size) => Array.from({ length: size.count }, () => size))
        : [];
      return {
        id,
        lotCode,
        recipeId,
        dish: recipe.name,
        isPlanned,
        portions: isPlanned ? plannedPortions : (actualPortions ?? 0),
        planned: sizes.map(({ portions, millilitres }, index) => ({
          id: `${id} ${index + 1}`,
          lotCode,
          number: index + 1,
          recipeId,
          portions,
          unfitFor,
          millilitres: millilitres ?? null,
          claimedBy: null,
        })),
      };
    });
  }
}
