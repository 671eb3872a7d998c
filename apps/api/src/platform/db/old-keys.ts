import { Injectable, Logger, type BeforeApplicationShutdown, type OnApplicationBootstrap } from '@nestjs/common';
import { UnitOfWork } from './unit-of-work.ts';

/** How long the answer to a write is kept for a repeated request; the database's own function and policy say the same. */
const KEPT_DAYS = 30;
const HOUR_MS = 3_600_000;
/** Keys that one look finds; a great host needs many looks, and goes on at once while there are more. */
const AT_ONCE = 5000;

/** Forgets answers that were kept for repeated requests, once an hour; each cooperative's in a transaction of its own. Two processes at once do no harm. */
@Injectable()
export class OldKeys implements OnApplicationBootstrap, BeforeApplicationShutdown {
  private readonly logger = new Logger('old-keys');
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

  /** Deletes all that are old enough; tells how many. */
  async forget(): Promise<number> {
    for (let total = 0; ;) {
      const [row] = await this.unitOfWork.statement(
        (client) =>
          client.$queryRaw<
            [{ places: string[] }]
          >`SELECT cooperatives_with_old_keys(${AT_ONCE}::int)::text[] AS places`,
      );
      if (row.places.length === 0) return total;
      for (const cooperativeId of row.places) {
        total += await this.unitOfWork.write(
          { cooperativeId, personId: '' },
          (tx) => tx.$executeRaw`
            DELETE FROM idempotency_key
            WHERE cooperative_id = ${cooperativeId}::uuid AND created_at < now() - make_interval(days => ${KEPT_DAYS}::int)`,
        );
      }
    }
  }
}
