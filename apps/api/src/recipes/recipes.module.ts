import { Module } from '@nestjs/common';
import { LedgerModule } from '../accounts/ledger.module.ts';
import { NoticesModule } from '../notices/notices.module.ts';
import { CooperativeSettings } from './cooperative-settings.ts';
import { DeclaredLaterRepository } from './declared-later.repository.ts';
import { DeclaredLater } from './declared-later.service.ts';
import { IngredientsController } from './ingredients.controller.ts';
import { IngredientsRepository } from './ingredients.repository.ts';
import { IngredientsService } from './ingredients.service.ts';
import { RecipeGraphRepository } from './recipe-graph.repository.ts';
import { RecipesController } from './recipes.controller.ts';
import { RecipesRepository } from './recipes.repository.ts';
import { RecipesService } from './recipes.service.ts';
import { ScalingService } from './scaling.service.ts';

@Module({
  imports: [LedgerModule, NoticesModule],
  controllers: [IngredientsController, RecipesController],
  providers: [
    CooperativeSettings,
    DeclaredLater,
    DeclaredLaterRepository,
    IngredientsRepository,
    IngredientsService,
    RecipeGraphRepository,
    RecipesRepository,
    RecipesService,
    ScalingService,
  ],
  exports: [CooperativeSettings, IngredientsRepository, RecipeGraphRepository, RecipesRepository],
})
export class RecipesModule {}
