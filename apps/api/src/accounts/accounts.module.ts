import { Module } from '@nestjs/common';
import { ShareOutsModule } from '../share-outs/share-outs.module.ts';
import { AccountsController } from './accounts.controller.ts';
import { AccountsRepository } from './accounts.repository.ts';
import { AccountsService } from './accounts.service.ts';
import { LeavingController } from './leaving.controller.ts';
import { LeavingRepository } from './leaving.repository.ts';
import { LeavingService } from './leaving.service.ts';
import { LedgerModule } from './ledger.module.ts';

@Module({
  imports: [LedgerModule, ShareOutsModule],
  controllers: [AccountsController, LeavingController],
  providers: [AccountsService, AccountsRepository, LeavingService, LeavingRepository],
})
export class AccountsModule {}
