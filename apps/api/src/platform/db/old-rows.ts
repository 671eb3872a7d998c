import { Injectable, Logger, type BeforeApplicationShutdown, type OnApplicationBootstrap } from '@nestjs/common';
import type { Tx } from './prisma.ts';
import { UnitOfWork } from './unit-of-work.ts';

const HOUR_MS = 3_600_000;
/** Rows that one look finds; a great host needs many looks, and goes on at once while there are more. */
const AT_ONCE = 5000;

/** How long rows are kept; the database's own function and policies say the same. */
const forgetting = {
  /** answers to writes, for repeated requests: 30 days */
  idempotency_key: (tx: Tx, cooperativeId: string) => tx.$executeRaw`
    DELETE FROM idempotency_key WHERE cooperative_id = ${cooperativeId}::uuid AND created_at < now() - interval '30 days'`,
  /** jobs that have ended, with their answers: 30 days */
  job: (tx: Tx, cooperativeId: string) => tx.$executeRaw`
    DELETE FROM job WHERE cooperative_id = ${cooperativeId}::uuid AND ended_at < now() - interval '30 days'`,
  /** live events: 8 days, a day more than a stream goes on after */
  outbox: (tx: Tx, cooperativeId: string) => tx.$executeRaw`
    DELETE FROM outbox WHERE cooperative_id = ${cooperativeId}::uuid AND created_at < now() - interval '8 days'`,
};
type Table = keyof typeof forgetting;
const tables = Object.keys(forgetting) as Table[];

/** Forgets rows that are no use any more, once an hour; each cooperative's in a transaction of its own. Two processes at once do no harm. */
@Injectable()
export class OldRows implements OnApplicationBootstrap, BeforeApplicationShutdown {
  private readonly logger = new Logger('old-rows');
  private timer: NodeJS.Timeout | undefined;

  constructor(private readonly unitOfWork: UnitOfWork) {}

  onApplicationBootstrap(): void {
    const forget = () => void this.forget().catch((error: unknown) => this.logger.warn(String(error)));
    this.timer = setInterval(forget, HOUR_MS * (0.75 + Math.random() / 2));
    this.timer.unref();
  }

  beforeApplicationShutdown(): void {
    clearInterval(this.timer);
  }

  /** Deletes all that are old enough; tells how many of each table. */
  async forget(): Promise<Record<Table, number>> {
    const forgotten = { idempotency_key: 0, job: 0, outbox: 0 };
    for (const table of tables) {
      for (let places = await this.withOld(table); places.length > 0; places = await this.withOld(table)) {
        for (const cooperativeId of places) {
          forgotten[table] += await this.unitOfWork.write({ cooperativeId, personId: '' }, (tx) =>
            forgetting[table](tx, cooperativeId),
          );
        }
      }
    }
    return forgotten;
  }

  /** Cooperatives that have some. */
  private async withOld(table: Table): Promise<string[]> {
    const [row] = await this.unitOfWork.statement(
      (client) =>
        client.$queryRaw<
          [{ places: string[] }]
        >`SELECT cooperatives_with_old_rows(${table}::text, ${AT_ONCE}::int)::text[] AS places`,
    );
    return row.places;
  }
}
