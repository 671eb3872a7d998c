import { Injectable } from '@nestjs/common';
import { setTimeout as delay } from 'node:timers/promises';
import { currentRequest } from '../http/request-context.ts';
import { mayTryAgain } from './database-error.ts';
import { once } from './idempotency.ts';
import { Database, type Tx } from './prisma.ts';
import { enter, type Scope } from './scope.ts';

export type { Scope } from './scope.ts';

const ATTEMPTS = 5;

/** The one place that opens transactions: sets whose data it is, keeps the answer of a write under the request's key, tries again what lost a race. */
@Injectable()
export class UnitOfWork {
  constructor(private readonly database: Database) {}

  /** Reads from one snapshot. */
  read<T>(scope: Scope, work: (tx: Tx) => Promise<T>): Promise<T> {
    return this.inTransaction(scope, 'RepeatableRead', work);
  }

  /** Writes all or nothing; the answer must be plain JSON. */
  write<T>(scope: Scope, work: (tx: Tx) => Promise<T>): Promise<T> {
    const facts = currentRequest();
    return this.inTransaction(scope, 'ReadCommitted', (tx) =>
      facts ? once(tx, scope, facts, () => work(tx)) : work(tx),
    );
  }

  /** One statement that is its own transaction: a database function of a hot operation, which sets whose data it is and keeps its answer itself. */
  statement<T>(work: (client: Tx) => Promise<T>): Promise<T> {
    return this.again(() => work(this.database.client));
  }

  private inTransaction<T>(
    scope: Scope,
    isolationLevel: 'ReadCommitted' | 'RepeatableRead',
    work: (tx: Tx) => Promise<T>,
  ): Promise<T> {
    return this.again(() =>
      this.database.client.$transaction(
        async (tx) => {
          await enter(tx, scope);
          return work(tx);
        },
        { isolationLevel },
      ),
    );
  }

  private async again<T>(attemptOnce: () => Promise<T>): Promise<T> {
    for (let attempt = 1; ; attempt += 1) {
      try {
        return await attemptOnce();
      } catch (error) {
        if (attempt === ATTEMPTS || !mayTryAgain(error)) throw error;
        await delay(Math.random() * 10 * 2 ** attempt);
      }
    }
  }
}
