import { Module } from '@nestjs/common';
import { RecipesModule } from '../recipes/recipes.module.ts';
import { CooperativeController } from './cooperative.controller.ts';
import { CooperativeRepository } from './cooperative.repository.ts';
import { CooperativeService } from './cooperative.service.ts';
import { DinerRepository } from './diner.repository.ts';
import { DinersController } from './diners.controller.ts';
import { DinersService } from './diners.service.ts';
import { HouseholdRepository } from './household.repository.ts';
import { HouseholdsController } from './households.controller.ts';
import { HouseholdsService } from './households.service.ts';

/** The cooperative, its households and who eats in them. */
@Module({
  imports: [RecipesModule],
  controllers: [CooperativeController, HouseholdsController, DinersController],
  providers: [
    CooperativeRepository,
    CooperativeService,
    DinerRepository,
    DinersService,
    HouseholdRepository,
    HouseholdsService,
  ],
})
export class CooperativesModule {}
