import { Module } from '@nestjs/common';
import { LedgerModule } from '../accounts/ledger.module.ts';
import { BuyingModule } from '../buying/buying.module.ts';
import { NoticesModule } from '../notices/notices.module.ts';
import { RecipesModule } from '../recipes/recipes.module.ts';
import { RoundRowsModule } from '../rounds/round-rows.module.ts';
import { StockModule } from '../stock/stock.module.ts';
import { BatchesRepository } from './batches.repository.ts';
import { CountedAnew } from './counted-anew.ts';
import { EarlyClaimsRepository } from './early-claims.repository.ts';
import { KitchenController } from './kitchen.controller.ts';
import { HouseholdKitchenController } from './household-kitchen.controller.ts';
import { HouseholdKitchenService } from './household-kitchen.service.ts';
import { HouseholdKitchensRepository } from './household-kitchens.repository.ts';
import { KitchenService } from './kitchen.service.ts';
import { LabelWords } from './label-words.ts';
import { LabelsController } from './labels.controller.ts';
import { LabelsService } from './labels.service.ts';
import { RunSheetController } from './run-sheet.controller.ts';
import { RunSheetJob } from './run-sheet-job.ts';
import { RunSheetService } from './run-sheet.service.ts';
import { RunSheetsRepository } from './run-sheets.repository.ts';

@Module({
  imports: [BuyingModule, LedgerModule, NoticesModule, RecipesModule, RoundRowsModule, StockModule],
  controllers: [KitchenController, RunSheetController, HouseholdKitchenController, LabelsController],
  providers: [
    BatchesRepository,
    CountedAnew,
    EarlyClaimsRepository,
    KitchenService,
    RunSheetsRepository,
    RunSheetService,
    RunSheetJob,
    HouseholdKitchensRepository,
    HouseholdKitchenService,
    LabelWords,
    LabelsService,
  ],
  exports: [BatchesRepository],
})
export class KitchenModule {}
