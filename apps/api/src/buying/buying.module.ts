import { Module } from '@nestjs/common';
import { LedgerModule } from '../accounts/ledger.module.ts';
import { RecipesModule } from '../recipes/recipes.module.ts';
import { RoundRowsModule } from '../rounds/round-rows.module.ts';
import { BuyPlansRepository } from './buy-plans.repository.ts';
import { BuyingController } from './buying.controller.ts';
import { BuyingService } from './buying.service.ts';
import { CorrectionsService } from './corrections.service.ts';
import { OffersController } from './offers.controller.ts';
import { OffersRepository } from './offers.repository.ts';
import { OffersService } from './offers.service.ts';
import { PurchasesRepository } from './purchases.repository.ts';
import { ReceiptReader } from './receipt-reader.ts';
import { ReceiptsRepository } from './receipts.repository.ts';
import { ReceiptsService } from './receipts.service.ts';
import { RoundPlanService } from './round-plan.service.ts';

@Module({
  imports: [LedgerModule, RecipesModule, RoundRowsModule],
  controllers: [OffersController, BuyingController],
  providers: [
    BuyPlansRepository,
    BuyingService,
    CorrectionsService,
    OffersRepository,
    OffersService,
    PurchasesRepository,
    ReceiptReader,
    ReceiptsRepository,
    ReceiptsService,
    RoundPlanService,
  ],
  exports: [PurchasesRepository, ReceiptsRepository, RoundPlanService],
})
export class BuyingModule {}
