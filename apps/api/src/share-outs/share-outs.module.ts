import { Module } from '@nestjs/common';
import { LedgerModule } from '../accounts/ledger.module.ts';
import { NoticesModule } from '../notices/notices.module.ts';
import { RecipesModule } from '../recipes/recipes.module.ts';
import { StockModule } from '../stock/stock.module.ts';
import { ClaimTermsRepository } from './claim-terms.repository.ts';
import { ClaimWindowService } from './claim-window.service.ts';
import { ClaimsController } from './claims.controller.ts';
import { ClaimsRepository } from './claims.repository.ts';
import { ClaimsService } from './claims.service.ts';
import { CorrectionsRepository } from './corrections.repository.ts';
import { CorrectionsService } from './corrections.service.ts';
import { PlannedContainersRepository } from './planned-containers.repository.ts';
import { PreviewService } from './preview.service.ts';
import { ShareOutJob } from './share-out-job.ts';
import { ShareOutRepository } from './share-out.repository.ts';
import { ShareOutService } from './share-out.service.ts';
import { ShareOutsController } from './share-outs.controller.ts';
import { SharingFactsRepository } from './sharing-facts.repository.ts';
import { SharingInput } from './sharing-input.ts';
import { UnfitBecause } from './unfit-because.ts';
import { WaitingController } from './waiting.controller.ts';
import { WaitingRepository } from './waiting.repository.ts';
import { WaitingService } from './waiting.service.ts';

@Module({
  imports: [LedgerModule, NoticesModule, RecipesModule, StockModule],
  controllers: [ShareOutsController, ClaimsController, WaitingController],
  providers: [
    ShareOutService,
    ShareOutRepository,
    SharingFactsRepository,
    SharingInput,
    ClaimsService,
    ClaimsRepository,
    ClaimTermsRepository,
    ClaimWindowService,
    WaitingService,
    WaitingRepository,
    CorrectionsService,
    CorrectionsRepository,
    UnfitBecause,
    PreviewService,
    PlannedContainersRepository,
    ShareOutJob,
  ],
  exports: [WaitingService],
})
export class ShareOutsModule {}
