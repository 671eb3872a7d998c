import { Module } from '@nestjs/common';
import { LedgerModule } from '../accounts/ledger.module.ts';
import { StockModule } from '../stock/stock.module.ts';
import { SwapAnswerService } from './swap-answer.service.ts';
import { SwapRepository } from './swap.repository.ts';
import { SwapsController } from './swaps.controller.ts';
import { SwapsService } from './swaps.service.ts';

@Module({
  imports: [LedgerModule, StockModule],
  controllers: [SwapsController],
  providers: [SwapsService, SwapAnswerService, SwapRepository],
})
export class SwapsModule {}
