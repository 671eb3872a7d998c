import { Injectable } from '@nestjs/common';
import { keptClaims } from '@frostmoot/calc';
import { NoticesService } from '../notices/notices.service.ts';
import type { Actor } from '../platform/auth/actor.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { codeOf } from '../stock/container-code.ts';
import type { BatchRow } from './batches.repository.ts';
import { EarlyClaimsRepository, type EarlyClaimRow } from './early-claims.repository.ts';

/** What becomes of claims made before the share-out when their batch is counted anew. */
@Injectable()
export class CountedAnew {
  constructor(
    private readonly claims: EarlyClaimsRepository,
    private readonly notices: NoticesService,
  ) {}

  /** To be read before the containers are written anew, which ends the claims on the former ones. */
  before(tx: Tx, actor: Actor, batchId: string): Promise<EarlyClaimRow[]> {
    return this.claims.ofBatch(tx, actor, batchId);
  }

  /** Keeps what can be kept, tells every household what it has lost, and gives what was lost. */
  async keep(
    tx: Tx,
    actor: Actor,
    { batch, dish, today, claims }: { batch: BatchRow; dish: string; today: string; claims: readonly EarlyClaimRow[] },
  ): Promise<EarlyClaimRow[]> {
    const sealed = batch.containers.filter(({ state }) => state === 'sealed');
    const { kept, lost } = keptClaims(claims, sealed);
    for (const { claim, container } of kept) {
      const place = { roundId: batch.roundId, containerId: container.id, today };
      if (!(await this.claims.keep(tx, actor, place, claim))) lost.push(claim);
    }
    for (const householdId of new Set(lost.map(({ household }) => household.id))) {
      const own = lost.filter(({ household }) => household.id === householdId);
      const facts = { dish, n: own.length, codes: own.map(({ number }) => codeOf(batch.lotCode, number)).join(', ') };
      await this.notices.give(tx, actor, {
        householdIds: [householdId],
        kind: 'early-claim-lost',
        facts,
        subjectId: batch.roundId,
      });
    }
    return lost;
  }
}
