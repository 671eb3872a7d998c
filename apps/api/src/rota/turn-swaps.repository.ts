import { Injectable } from '@nestjs/common';
import type { SwapState } from '@frostmoot/calc';
import { newId } from '../platform/db/ids.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

type Party = { id: string; name: string };
export interface TurnSwapRow {
  id: string;
  from: Party;
  to: Party;
  givesTurnId: string;
  getsTurnId: string;
  state: Exclude<SwapState, 'accepted'>;
  words: string;
  openUntil: Date;
  createdAt: Date;
  answeredAt: Date | null;
  version: number;
}

const parties = {
  from: { select: { id: true, name: true } },
  to: { select: { id: true, name: true } },
} as const;
const rowOf = (row: Omit<TurnSwapRow, 'state'> & { state: string }): TurnSwapRow => ({
  ...row,
  state: row.state as TurnSwapRow['state'],
});

/** Proposals to swap one turn for another. */
@Injectable()
export class TurnSwapsRepository {
  /** The swaps of a household: all that wait, and of the others the latest. */
  async ofHousehold(tx: Tx, { cooperativeId }: Scope, householdId: string, endedShown: number): Promise<TurnSwapRow[]> {
    const either = [{ fromHouseholdId: householdId }, { toHouseholdId: householdId }];
    const waiting = await tx.turnSwap.findMany({
      where: { cooperativeId, OR: either, state: 'proposed' },
      include: parties,
      orderBy: { openUntil: 'asc' },
    });
    const ended = await tx.turnSwap.findMany({
      where: { cooperativeId, OR: either, state: { not: 'proposed' } },
      include: parties,
      orderBy: { id: 'desc' },
      take: endedShown,
    });
    return [...waiting, ...ended].map(rowOf);
  }

  async find(tx: Tx, { cooperativeId }: Scope, id: string): Promise<TurnSwapRow | null> {
    const row = await tx.turnSwap.findUnique({ where: { cooperativeId_id: { cooperativeId, id } }, include: parties });
    return row && rowOf(row);
  }

  async create(
    tx: Tx,
    { cooperativeId, personId }: Scope,
    proposal: {
      fromHouseholdId: string;
      toHouseholdId: string;
      givesTurnId: string;
      getsTurnId: string;
      words: string;
      openUntil: Date;
      createdAt: Date;
    },
  ): Promise<string> {
    const id = newId();
    await tx.turnSwap.create({ data: { cooperativeId, id, createdBy: personId, ...proposal }, select: { id: true } });
    return id;
  }

  /** Ends a proposal. Nobody's answer when it lapsed. */
  async close(tx: Tx, scope: Scope, id: string, state: TurnSwapRow['state'], at: Date): Promise<void> {
    await tx.turnSwap.update({
      where: { cooperativeId_id: { cooperativeId: scope.cooperativeId, id } },
      data: {
        state,
        answeredAt: at,
        answeredBy: state === 'lapsed' ? null : scope.personId,
        version: { increment: 1 },
      },
      select: { id: true },
    });
  }
}
