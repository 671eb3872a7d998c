import { Module } from '@nestjs/common';
import { LedgerModule } from '../accounts/ledger.module.ts';
import { StockModule } from '../stock/stock.module.ts';
import { ClaimsController } from './claims.controller.ts';
import { ClaimsRepository } from './claims.repository.ts';
import { ClaimsService } from './claims.service.ts';
import { ShareOutRepository } from './share-out.repository.ts';
import { ShareOutService } from './share-out.service.ts';
import { ShareOutsController } from './share-outs.controller.ts';

@Module({
  imports: [LedgerModule, StockModule],
  controllers: [ShareOutsController, ClaimsController],
  providers: [ShareOutService, ShareOutRepository, ClaimsService, ClaimsRepository],
})
export class ShareOutsModule {}
