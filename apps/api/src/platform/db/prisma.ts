import { Inject, Injectable, type OnApplicationShutdown } from '@nestjs/common';
import { PrismaPg } from '@prisma/adapter-pg';
import { PrismaClient, type Prisma } from '../../generated/prisma/client.ts';
import type { Config } from '../config/config.ts';
import { CONFIG } from '../config/tokens.ts';
import { OneAtATimeClient } from './one-at-a-time.ts';

/** An open transaction with its cooperative set; repositories take it explicitly. */
export type Tx = Prisma.TransactionClient;

/** The one client and its pool. Only the unit of work and the session query use it directly. No prepared statements are named, so a pooler in transaction mode may stand before it. */
@Injectable()
export class Database implements OnApplicationShutdown {
  readonly client: PrismaClient;

  constructor(@Inject(CONFIG) config: Config) {
    const adapter = new PrismaPg({
      connectionString: config.databaseUrl,
      max: config.databasePool,
      connectionTimeoutMillis: 10_000,
      Client: OneAtATimeClient,
    });
    this.client = new PrismaClient({
      adapter,
      transactionOptions: { maxWait: 10_000, timeout: 30_000 },
    });
  }

  async onApplicationShutdown(): Promise<void> {
    await this.client.$disconnect();
  }
}
