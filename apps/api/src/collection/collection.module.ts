import { Module } from '@nestjs/common';
import { LedgerModule } from '../accounts/ledger.module.ts';
import { NoticesModule } from '../notices/notices.module.ts';
import { ShareOutsModule } from '../share-outs/share-outs.module.ts';
import { CollectionNotices } from './collection-notices.service.ts';
import { CollectionController } from './collection.controller.ts';
import { CollectionReader } from './collection-reader.ts';
import { CollectionRepository } from './collection.repository.ts';
import { CollectionService } from './collection.service.ts';
import { HandOverRepository } from './hand-over.repository.ts';
import { HandOverService } from './hand-over.service.ts';

@Module({
  imports: [LedgerModule, NoticesModule, ShareOutsModule],
  controllers: [CollectionController],
  providers: [
    CollectionNotices,
    CollectionService,
    CollectionReader,
    CollectionRepository,
    HandOverService,
    HandOverRepository,
  ],
})
export class CollectionModule {}
