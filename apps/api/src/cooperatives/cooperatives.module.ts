import { Module } from '@nestjs/common';
import { LedgerModule } from '../accounts/ledger.module.ts';
import { NoticesModule } from '../notices/notices.module.ts';
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
import { RotaBoardRepository } from './rota-board.repository.ts';
import { StockModule } from '../stock/stock.module.ts';
import { ThisWeekController } from './this-week.controller.ts';
import { ThisWeekRepository } from './this-week.repository.ts';
import { ThisWeekService } from './this-week.service.ts';

/** The cooperative, its households and who eats in them. */
@Module({
  imports: [LedgerModule, NoticesModule, RecipesModule, StockModule],
  controllers: [CooperativeController, HouseholdsController, DinersController, ThisWeekController],
  providers: [
    CooperativeRepository,
    CooperativeService,
    DinerRepository,
    DinersService,
    HouseholdRepository,
    HouseholdsService,
    RotaBoardRepository,
    ThisWeekRepository,
    ThisWeekService,
  ],
})
export class CooperativesModule {}
