import { Injectable } from '@nestjs/common';
import { checkIngredient, DomainError, rational } from '@frostmoot/calc';
import type { ingredient, ingredients, saveIngredient } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { tell } from '../platform/events/tell.ts';
import { requireVersion } from '../platform/http/if-match.ts';
import { DeclaredLater } from './declared-later.service.ts';
import type { IngredientFields, IngredientRow } from './ingredients.repository.ts';
import { IngredientsRepository } from './ingredients.repository.ts';

type Typed = z.infer<typeof saveIngredient>;
type Answer = z.infer<typeof ingredient>;

@Injectable()
export class IngredientsService {
  constructor(
    private readonly work: UnitOfWork,
    private readonly rows: IngredientsRepository,
    private readonly later: DeclaredLater,
  ) {}

  list(actor: Actor): Promise<z.infer<typeof ingredients>> {
    return this.work.read(actor, async (tx) => ({ items: (await this.rows.list(tx, actor)).map(answerOf) }));
  }

  create(actor: Actor, typed: Typed): Promise<Answer> {
    checkIngredient(typed);
    return this.work.write(actor, async (tx) => {
      const row = await this.rows.create(tx, actor, fieldsOf(typed));
      await tell(tx, actor, 'recipes', row.id);
      return answerOf(row);
    });
  }

  change(actor: Actor, id: string, version: number, typed: Typed): Promise<Answer> {
    checkIngredient(typed);
    return this.work.write(actor, async (tx) => {
      const before = await this.rows.lock(tx, actor, id);
      requireVersion(before.version, version);
      const fields = fieldsOf(typed);
      if (losesUnits(before, fields) && (await this.rows.isUsed(tx, actor, id))) throw unitsInUse(before, fields);
      const row = await this.rows.update(tx, actor, id, fields);
      await this.later.spread(tx, actor, row);
      await tell(tx, actor, 'recipes', id);
      return answerOf(row);
    });
  }
}

const sorted = (ids: readonly string[]): string[] => [...new Set(ids)].sort();

function fieldsOf(typed: Typed): IngredientFields {
  return {
    name: typed.name,
    baseUnit: typed.baseUnit,
    density: typed.density === null ? null : rational.format(rational.parse(typed.density)),
    densitySource: typed.density === null ? null : typed.densitySource,
    allergens: sorted(typed.allergens),
    freeOf: sorted(typed.freeOf),
    tags: sorted(typed.tags),
  };
}

/** Recipes and offers were checked against the unit and the density that it had. */
const losesUnits = (before: IngredientRow, after: IngredientFields): boolean =>
  before.baseUnit !== after.baseUnit || (before.density !== null && after.density === null);

function unitsInUse(before: IngredientRow, after: IngredientFields): DomainError {
  const pointer = before.baseUnit === after.baseUnit ? '#/density' : '#/baseUnit';
  const detail = 'Recipes or offers count on it; make another ingredient for another unit';
  return new DomainError('conflict', detail, { errors: [{ pointer, detail }] });
}

function answerOf(row: IngredientRow): Answer {
  const { id, name, density, densitySource, allergens, freeOf, tags, version } = row;
  const baseUnit = row.baseUnit as Answer['baseUnit'];
  return { id, name, baseUnit, density, densitySource, allergens, freeOf, tags, version };
}
