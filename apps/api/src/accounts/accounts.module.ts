import { Module } from '@nestjs/common';
import { AccountsController } from './accounts.controller.ts';
import { AccountsRepository } from './accounts.repository.ts';
import { AccountsService } from './accounts.service.ts';
import { LedgerModule } from './ledger.module.ts';

@Module({
  imports: [LedgerModule],
  controllers: [AccountsController],
  providers: [AccountsService, AccountsRepository],
})
export class AccountsModule {}
