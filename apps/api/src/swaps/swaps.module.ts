import { Module } from '@nestjs/common';
import { LedgerModule } from '../accounts/ledger.module.ts';
import { NoticesModule } from '../notices/notices.module.ts';
import { StockModule } from '../stock/stock.module.ts';
import { LapsedRings } from './lapsed-rings.ts';
import { OfferRepository } from './offer.repository.ts';
import { OffersController } from './offers.controller.ts';
import { OffersService } from './offers.service.ts';
import { RingAnswerService } from './ring-answer.service.ts';
import { RingDueRepository } from './ring-due.repository.ts';
import { RingJobs } from './ring-jobs.service.ts';
import { RingSearchService } from './ring-search.service.ts';
import { RingRepository } from './ring.repository.ts';
import { RingsController } from './rings.controller.ts';
import { RingsService } from './rings.service.ts';
import { SwapAnswerService } from './swap-answer.service.ts';
import { SwapRepository } from './swap.repository.ts';
import { SwapsController } from './swaps.controller.ts';
import { SwapsService } from './swaps.service.ts';

@Module({
  imports: [LedgerModule, StockModule, NoticesModule],
  controllers: [SwapsController, OffersController, RingsController],
  providers: [
    SwapsService,
    SwapAnswerService,
    SwapRepository,
    OffersService,
    OfferRepository,
    RingsService,
    RingAnswerService,
    RingSearchService,
    RingDueRepository,
    RingJobs,
    LapsedRings,
    RingRepository,
  ],
})
export class SwapsModule {}
