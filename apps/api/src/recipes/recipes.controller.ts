import { Body, Controller, Get, Param, Post, Query } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { createRecipe, primitives, recipe, recipeList, saveRecipeVersion, scaledRecipe } from '@frostmoot/contract';
import { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { CurrentActor } from '../platform/auth/decorators.ts';
import { IfMatch } from '../platform/http/if-match.ts';
import { Operation } from '../platform/http/operation.ts';
import { RecipesService } from './recipes.service.ts';
import { ScalingService } from './scaling.service.ts';

const query = {
  search: { schema: z.string().max(120).default('') },
  /** a version's number; the newest when left out */
  version: { schema: z.coerce.number().int().min(1).max(999_999).optional() },
  /** more than nil, with few enough digits that every scaled quantity stays exact */
  portions: { schema: z.string().regex(/^(?!0+(\.0+)?(\/|$))\d{1,5}(\/[1-9]\d{0,3}|\.\d{1,4})?$/) },
};

const refusedRecipe = [
  'conflict',
  'unknown-unit',
  'units-incompatible',
  'density-missing',
  'recipe-cycle',
  'too-deep',
] as const;

@ApiTags('recipes')
@Controller('cooperatives/:cooperativeId/recipes')
export class RecipesController {
  constructor(
    private readonly service: RecipesService,
    private readonly scaling: ScalingService,
  ) {}

  @Get()
  @Operation({ id: 'listRecipes', summary: 'Recipes by name, or those that contain a word', ok: recipeList })
  list(
    @CurrentActor() actor: Actor,
    @Query('search', query.search) wanted: string,
  ): Promise<z.infer<typeof recipeList>> {
    return this.service.list(actor, wanted);
  }

  @Post()
  @Operation({
    id: 'createRecipe',
    summary: 'Write a recipe',
    ok: recipe,
    status: 201,
    errors: [...refusedRecipe],
  })
  create(
    @CurrentActor() actor: Actor,
    @Body({ schema: createRecipe }) body: z.infer<typeof createRecipe>,
  ): Promise<z.infer<typeof recipe>> {
    return this.service.create(actor, body);
  }

  @Get(':recipeId')
  @Operation({ id: 'getRecipe', summary: 'A recipe with its newest version, or one by number', ok: recipe })
  find(
    @CurrentActor() actor: Actor,
    @Param('recipeId', { schema: primitives.id }) id: string,
    @Query('version', query.version) number?: number,
  ): Promise<z.infer<typeof recipe>> {
    return this.service.find(actor, id, number);
  }

  @Post(':recipeId/versions')
  @Operation({
    id: 'saveRecipeVersion',
    summary: 'Follow a recipe’s newest version by another; earlier ones stay as they are',
    ok: recipe,
    status: 201,
    errors: [...refusedRecipe],
  })
  saveVersion(
    @CurrentActor() actor: Actor,
    @Param('recipeId', { schema: primitives.id }) id: string,
    @IfMatch() version: number,
    @Body({ schema: saveRecipeVersion }) body: z.infer<typeof saveRecipeVersion>,
  ): Promise<z.infer<typeof recipe>> {
    return this.service.saveVersion(actor, id, version, body);
  }

  @Get(':recipeId/scaled')
  @Operation({ id: 'scaleRecipe', summary: 'A recipe’s lines for another number of portions', ok: scaledRecipe })
  scaled(
    @CurrentActor() actor: Actor,
    @Param('recipeId', { schema: primitives.id }) id: string,
    @Query('portions', query.portions) wanted: string,
    @Query('version', query.version) number?: number,
  ): Promise<z.infer<typeof scaledRecipe>> {
    return this.scaling.scaled(actor, id, wanted, number);
  }
}
