import { Module } from '@nestjs/common';
import { LedgerModule } from '../accounts/ledger.module.ts';
import { NoticesModule } from '../notices/notices.module.ts';
import { StockModule } from '../stock/stock.module.ts';
import { LotsController } from './lots.controller.ts';
import { LotsRepository } from './lots.repository.ts';
import { LotsService } from './lots.service.ts';
import { RecallsController } from './recalls.controller.ts';
import { RecallsRepository } from './recalls.repository.ts';
import { RecallsService } from './recalls.service.ts';

/** Lots, suspicions and recalls: from what was bought or cooked to everybody who has it. */
@Module({
  imports: [LedgerModule, NoticesModule, StockModule],
  controllers: [RecallsController, LotsController],
  providers: [RecallsService, RecallsRepository, LotsService, LotsRepository],
})
export class RecallsModule {}
