import { Module } from '@nestjs/common';
import { LedgerRepository } from './ledger.repository.ts';

/** The books, for every capability that writes into them. */
@Module({ providers: [LedgerRepository], exports: [LedgerRepository] })
export class LedgerModule {}
