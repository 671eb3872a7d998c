import { Module } from '@nestjs/common';
import { LedgerModule } from '../accounts/ledger.module.ts';
import { ContainerRepository } from './container.repository.ts';
import { StockController } from './stock.controller.ts';
import { StockRepository } from './stock.repository.ts';
import { StockService } from './stock.service.ts';

@Module({
  imports: [LedgerModule],
  controllers: [StockController],
  providers: [StockService, StockRepository, ContainerRepository],
  exports: [ContainerRepository],
})
export class StockModule {}
