import { Injectable } from '@nestjs/common';
import type { RoundShareOutInput, RoundStage, ShareOutOutput } from '@frostmoot/calc';
import type { Prisma } from '../generated/prisma/client.ts';
import { newId } from '../platform/db/ids.ts';
import { json } from '../platform/db/json.ts';
import { onUnique } from '../platform/db/on-unique.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

export interface RoundHead {
  id: string;
  number: number;
  stage: RoundStage;
}

export interface KeptShareOut {
  id: string;
  roundId: string;
  state: 'proposed' | 'confirmed' | 'superseded';
  input: RoundShareOutInput;
  result: ShareOutOutput;
  assigned: Record<string, string[]>;
  proof: string;
  confirmedBy: string | null;
  confirmedAt: Date | null;
  version: number;
}

const live = ['proposed', 'confirmed'];

/** Share-outs as they were worked out, and what of a round they are worked out from. */
@Injectable()
export class ShareOutRepository {
  async round(tx: Tx, scope: Scope, id: string): Promise<RoundHead | null> {
    const round = await tx.round.findUnique({
      where: { cooperativeId_id: { cooperativeId: scope.cooperativeId, id } },
      select: { id: true, number: true, stage: true },
    });
    return round && { ...round, stage: round.stage as RoundStage };
  }

  /** Holds the round still, so that no yield is entered while its containers are being shared out. */
  async lockRound(tx: Tx, scope: Scope, id: string): Promise<void> {
    await tx.$queryRaw`SELECT id FROM round WHERE cooperative_id = ${scope.cooperativeId}::uuid AND id = ${id}::uuid FOR UPDATE`;
  }

  batchesOpen(tx: Tx, scope: Scope, roundId: string): Promise<number> {
    return tx.batch.count({ where: { cooperativeId: scope.cooperativeId, roundId, state: 'planned' } });
  }

  async find(tx: Tx, scope: Scope, id: string): Promise<KeptShareOut | null> {
    const row = await tx.shareOut.findUnique({
      where: { cooperativeId_id: { cooperativeId: scope.cooperativeId, id } },
    });
    return row && keptOf(row);
  }

  /** As find, and nobody else may confirm or supersede it until the transaction ends. */
  async lock(tx: Tx, scope: Scope, id: string): Promise<KeptShareOut | null> {
    await tx.$queryRaw`SELECT id FROM share_out WHERE cooperative_id = ${scope.cooperativeId}::uuid AND id = ${id}::uuid FOR UPDATE`;
    return this.find(tx, scope, id);
  }

  /** The confirmed one, or else the proposal. */
  async current(tx: Tx, scope: Scope, roundId: string): Promise<KeptShareOut | null> {
    const rows = await tx.shareOut.findMany({
      where: { cooperativeId: scope.cooperativeId, roundId, state: { in: live } },
    });
    const row = rows.find(({ state }) => state === 'confirmed') ?? rows[0];
    return row ? keptOf(row) : null;
  }

  async confirmed(tx: Tx, scope: Scope, roundId: string): Promise<KeptShareOut | null> {
    const current = await this.current(tx, scope, roundId);
    return current?.state === 'confirmed' ? current : null;
  }

  /** What every confirmed share-out up to a round left each household owed, the earliest round first. */
  async owedAfterRounds(
    tx: Tx,
    scope: Scope,
    upToNumber: number,
  ): Promise<{ roundNumber: number; owedAfter: Record<string, string> }[]> {
    const rows = await tx.shareOut.findMany({
      where: { cooperativeId: scope.cooperativeId, state: 'confirmed', round: { number: { lte: upToNumber } } },
      select: { result: true, round: { select: { number: true } } },
      orderBy: { round: { number: 'asc' } },
    });
    return rows.map(({ result, round }) => ({
      roundNumber: round.number,
      owedAfter: (result as unknown as ShareOutOutput).owedAfter,
    }));
  }

  /** Keeps a new proposal in the place of the former one. */
  async propose(
    tx: Tx,
    scope: Scope,
    proposal: Pick<KeptShareOut, 'roundId' | 'input' | 'result' | 'assigned' | 'proof'>,
  ): Promise<string> {
    const { cooperativeId, personId } = scope;
    const id = newId();
    await tx.shareOut.updateMany({
      where: { cooperativeId, roundId: proposal.roundId, state: 'proposed' },
      data: { state: 'superseded', version: { increment: 1 } },
    });
    await onUnique(
      tx.shareOut.create({
        data: {
          cooperativeId,
          id,
          roundId: proposal.roundId,
          input: json(proposal.input),
          result: json(proposal.result),
          assigned: json(proposal.assigned),
          proof: proposal.proof,
          createdBy: personId,
        },
        select: { id: true },
      }),
      { share_out_one_proposed: 'conflict' },
      'Somebody else has worked out this share-out at the same moment',
    );
    return id;
  }

  async confirm(tx: Tx, scope: Scope, id: string, at: Date): Promise<void> {
    await onUnique(
      tx.shareOut.update({
        where: { cooperativeId_id: { cooperativeId: scope.cooperativeId, id } },
        data: { state: 'confirmed', confirmedBy: scope.personId, confirmedAt: at, version: { increment: 1 } },
        select: { id: true },
      }),
      { share_out_one_confirmed: 'already-confirmed' },
      'This round has been shared out already',
    );
  }

  /**
   * Gives free containers to a household: those that it had claimed before are its own, the others are set aside for it. Gives how many it could.
   */
  async setAside(
    tx: Tx,
    scope: Scope,
    householdId: string,
    containerIds: readonly string[],
    claimedBefore: ReadonlySet<string>,
  ): Promise<number> {
    const { cooperativeId, personId } = scope;
    const { count } = await tx.container.updateMany({
      where: { cooperativeId, id: { in: [...containerIds] }, state: 'sealed', holderHouseholdId: null },
      data: { holderHouseholdId: householdId, version: { increment: 1 } },
    });
    if (count === containerIds.length) {
      await tx.claim.createMany({
        data: containerIds.map((containerId) => ({
          cooperativeId,
          id: newId(),
          containerId,
          householdId,
          state: claimedBefore.has(containerId) ? 'claimed' : 'held',
          createdBy: personId,
        })),
      });
    }
    return count;
  }

  async nameOfPerson(tx: Tx, id: string): Promise<string | null> {
    const person = await tx.person.findUnique({ where: { id }, select: { displayName: true } });
    return person?.displayName ?? null;
  }
}

function keptOf(row: Prisma.ShareOutGetPayload<object>): KeptShareOut {
  return {
    id: row.id,
    roundId: row.roundId,
    state: row.state as KeptShareOut['state'],
    input: row.input as unknown as RoundShareOutInput,
    result: row.result as unknown as ShareOutOutput,
    assigned: row.assigned as unknown as Record<string, string[]>,
    proof: row.proof,
    confirmedBy: row.confirmedBy,
    confirmedAt: row.confirmedAt,
    version: row.version,
  };
}
