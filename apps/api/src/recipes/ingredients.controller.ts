import { Body, Controller, Get, Param, Patch, Post } from '@nestjs/common';
import { ApiTags } from '@nestjs/swagger';
import { ingredient, ingredients, primitives, saveIngredient } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { CurrentActor } from '../platform/auth/decorators.ts';
import { IfMatch } from '../platform/http/if-match.ts';
import { Operation } from '../platform/http/operation.ts';
import { IngredientsService } from './ingredients.service.ts';

@ApiTags('recipes')
@Controller('cooperatives/:cooperativeId/ingredients')
export class IngredientsController {
  constructor(private readonly service: IngredientsService) {}

  @Get()
  @Operation({ id: 'listIngredients', summary: 'Ingredients by name', ok: ingredients })
  list(@CurrentActor() actor: Actor): Promise<z.infer<typeof ingredients>> {
    return this.service.list(actor);
  }

  @Post()
  @Operation({
    id: 'createIngredient',
    summary: 'Add an ingredient',
    ok: ingredient,
    status: 201,
    errors: ['conflict'],
  })
  create(
    @CurrentActor() actor: Actor,
    @Body({ schema: saveIngredient }) body: z.infer<typeof saveIngredient>,
  ): Promise<z.infer<typeof ingredient>> {
    return this.service.create(actor, body);
  }

  @Patch(':ingredientId')
  @Operation({ id: 'changeIngredient', summary: 'Change an ingredient', ok: ingredient, errors: ['conflict'] })
  change(
    @CurrentActor() actor: Actor,
    @Param('ingredientId', { schema: primitives.id }) id: string,
    @IfMatch() version: number,
    @Body({ schema: saveIngredient }) body: z.infer<typeof saveIngredient>,
  ): Promise<z.infer<typeof ingredient>> {
    return this.service.change(actor, id, version, body);
  }
}
