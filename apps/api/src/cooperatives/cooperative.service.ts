import { Injectable } from '@nestjs/common';
import { currencyDigits, DomainError, rational, typedWeight } from '@frostmoot/calc';
import type { changeCooperative, cooperative } from '@frostmoot/contract';
import type { z } from 'zod';
import { Clock } from '../platform/clock/clock.ts';
import { isTimeZone, localToday } from '../platform/clock/local-today.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { UnitOfWork, type Scope } from '../platform/db/unit-of-work.ts';
import { tell } from '../platform/events/tell.ts';
import { CooperativeRepository } from './cooperative.repository.ts';

type Cooperative = z.infer<typeof cooperative>;
type Change = z.infer<typeof changeCooperative>;

/** The cooperative itself and its policies. */
@Injectable()
export class CooperativeService {
  constructor(
    private readonly unitOfWork: UnitOfWork,
    private readonly cooperatives: CooperativeRepository,
    private readonly clock: Clock,
  ) {}

  get(scope: Scope): Promise<Cooperative> {
    return this.unitOfWork.read(scope, (tx) => this.read(tx, scope));
  }

  change(scope: Scope, version: number, change: Change): Promise<Cooperative> {
    if (change.timeZone !== undefined && !isTimeZone(change.timeZone)) {
      const errors = [{ pointer: '#/timeZone', detail: 'There is no time zone of this name' }];
      throw new DomainError('invalid-input', 'Some of the input cannot be used', { errors });
    }
    const { childWeight } = change;
    const exact =
      childWeight === undefined ? {} : { childWeight: rational.format(typedWeight(childWeight, '#/childWeight')) };
    return this.unitOfWork.write(scope, async (tx) => {
      if (!(await this.cooperatives.change(tx, scope, version, { ...change, ...exact }))) {
        throw new DomainError('precondition-failed', 'The cooperative has changed since you read it');
      }
      await tell(tx, scope, 'cooperative');
      return this.read(tx, scope);
    });
  }

  private async read(tx: Tx, scope: Scope): Promise<Cooperative> {
    const { createdAt: _, ...row } = await this.cooperatives.get(tx, scope);
    return {
      ...row,
      weightScale: row.weightScale as Cooperative['weightScale'],
      swapRingLimit: row.swapRingLimit as Cooperative['swapRingLimit'],
      claimPolicy: row.claimPolicy as Cooperative['claimPolicy'],
      currencyDigits: currencyDigits.get(row.currency) ?? 2,
      today: localToday(this.clock.now(), row.timeZone),
    };
  }
}
