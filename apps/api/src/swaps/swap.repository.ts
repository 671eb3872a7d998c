import { Injectable } from '@nestjs/common';
import type { SwapState } from '@frostmoot/calc';
import { newId } from '../platform/db/ids.ts';
import { fromDate } from '../platform/db/dates.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

const parties = {
  from: { select: { id: true, name: true } },
  to: { select: { id: true, name: true } },
  parts: { select: { containerId: true, giverHouseholdId: true, receiverHouseholdId: true } },
} as const;

export interface SwapPartRow {
  containerId: string;
  giverHouseholdId: string;
  receiverHouseholdId: string;
}
export interface SwapRow {
  id: string;
  from: { id: string; name: string };
  to: { id: string; name: string };
  state: SwapState;
  words: string;
  openUntil: Date;
  createdAt: Date;
  answeredAt: Date | null;
  answersId: string | null;
  version: number;
  parts: SwapPartRow[];
}

/** Proposals of swaps and what they move. */
@Injectable()
export class SwapRepository {
  household(tx: Tx, scope: Scope, id: string): Promise<{ id: string; name: string } | null> {
    return tx.household.findUnique({
      where: { cooperativeId_id: { cooperativeId: scope.cooperativeId, id } },
      select: { id: true, name: true },
    });
  }

  /** The swaps of a household: all that wait, and of the others the latest. */
  async ofHousehold(tx: Tx, scope: Scope, householdId: string, endedShown: number): Promise<SwapRow[]> {
    const { cooperativeId } = scope;
    const either = [{ fromHouseholdId: householdId }, { toHouseholdId: householdId }];
    const waiting = await tx.swap.findMany({
      where: { cooperativeId, OR: either, state: 'proposed' },
      include: parties,
      orderBy: { openUntil: 'asc' },
    });
    const ended = await tx.swap.findMany({
      where: { cooperativeId, OR: either, state: { not: 'proposed' } },
      include: parties,
      orderBy: { id: 'desc' },
      take: endedShown,
    });
    return [...waiting, ...ended].map((row) => ({ ...row, state: row.state as SwapState }));
  }

  async find(tx: Tx, scope: Scope, id: string): Promise<SwapRow | null> {
    const row = await tx.swap.findUnique({
      where: { cooperativeId_id: { cooperativeId: scope.cooperativeId, id } },
      include: parties,
    });
    return row && { ...row, state: row.state as SwapState };
  }

  /** As find, and nobody else may answer it until the transaction ends. */
  async lock(tx: Tx, scope: Scope, id: string): Promise<SwapRow | null> {
    await tx.$queryRaw`SELECT id FROM swap WHERE cooperative_id = ${scope.cooperativeId}::uuid AND id = ${id}::uuid FOR UPDATE`;
    return this.find(tx, scope, id);
  }

  async create(
    tx: Tx,
    scope: Scope,
    proposal: {
      from: string;
      to: string;
      words: string;
      openUntil: Date;
      createdAt: Date;
      answersId: string | null;
      parts: SwapPartRow[];
    },
  ): Promise<string> {
    const { cooperativeId, personId } = scope;
    const id = newId();
    await tx.swap.create({
      data: {
        cooperativeId,
        id,
        fromHouseholdId: proposal.from,
        toHouseholdId: proposal.to,
        words: proposal.words,
        openUntil: proposal.openUntil,
        createdAt: proposal.createdAt,
        answersId: proposal.answersId,
        createdBy: personId,
      },
      select: { id: true },
    });
    await tx.swapPart.createMany({
      data: proposal.parts.map((part) => ({ cooperativeId, id: newId(), swapId: id, ...part })),
    });
    return id;
  }

  /** Ends a proposal. `by`: whose answer it was; nobody's when it lapsed. */
  async close(tx: Tx, scope: Scope, id: string, state: SwapState, at: Date): Promise<void> {
    await tx.swap.update({
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

  /** Writes down that proposals which nobody answered in time have lapsed. */
  async lapse(tx: Tx, scope: Scope, now: Date): Promise<void> {
    await tx.swap.updateMany({
      where: { cooperativeId: scope.cooperativeId, state: 'proposed', openUntil: { lte: now } },
      data: { state: 'lapsed', version: { increment: 1 } },
    });
  }

  /** Moves one container, which is locked, with its claim. */
  async moveContainer(tx: Tx, scope: Scope, part: SwapPartRow, at: Date): Promise<void> {
    const { cooperativeId, personId } = scope;
    const { containerId, receiverHouseholdId } = part;
    await tx.container.update({
      where: { cooperativeId_id: { cooperativeId, id: containerId } },
      data: { holderHouseholdId: receiverHouseholdId, place: '', version: { increment: 1 } },
      select: { id: true },
    });
    await tx.claim.updateMany({
      where: { cooperativeId, containerId, endedAt: null },
      data: { state: 'released', endedAt: at },
    });
    await tx.claim.create({
      data: {
        cooperativeId,
        id: newId(),
        containerId,
        householdId: receiverHouseholdId,
        state: 'claimed',
        createdBy: personId,
      },
      select: { id: true },
    });
  }

  /** Keeps the words with which an adult took what somebody of the household must not eat. */
  async keepConfirmation(
    tx: Tx,
    scope: Scope,
    confirmation: { containerId: string; householdId: string; subjects: string[]; words: string },
  ): Promise<void> {
    await tx.exclusionConfirmed.create({
      data: { cooperativeId: scope.cooperativeId, id: newId(), createdBy: scope.personId, ...confirmation },
      select: { id: true },
    });
  }

  async namesOf(tx: Tx, { cooperativeId }: Scope, ids: readonly string[]): Promise<string> {
    const rows = await tx.household.findMany({
      where: { cooperativeId, id: { in: [...ids] } },
      select: { name: true },
      orderBy: { name: 'asc' },
    });
    return rows.map(({ name }) => name).join(', ');
  }

  /** What the cooperative has agreed about rings. */
  policy(tx: Tx, { cooperativeId }: Scope): Promise<{ swapRingLimit: number | null; swapCreditPortions: number }> {
    return tx.cooperative.findUniqueOrThrow({
      where: { id: cooperativeId },
      select: { swapRingLimit: true, swapCreditPortions: true },
    });
  }

  /** One proposes rings at a time; lasts until the transaction ends. */
  async lockRings(tx: Tx, { cooperativeId }: Scope): Promise<void> {
    await tx.$queryRaw`SELECT pg_advisory_xact_lock(hashtextextended(${`swap rings ${cooperativeId}`}, 0))::text`;
  }

  /** The last swap days of rounds that are not settled. */
  async swapDays(tx: Tx, scope: Scope, roundIds: readonly string[]): Promise<string[]> {
    const rounds = await tx.round.findMany({
      where: { cooperativeId: scope.cooperativeId, id: { in: [...roundIds] }, stage: { not: 'settled' } },
      select: { swapUntil: true },
    });
    return rounds.map(({ swapUntil }) => fromDate(swapUntil));
  }
}
