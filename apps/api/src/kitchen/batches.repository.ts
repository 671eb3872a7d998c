import { Injectable } from '@nestjs/common';
import type { NewContainer } from '@frostmoot/calc';
import { DomainError } from '@frostmoot/calc';
import type { Batch, Container, Prisma, ProbeReading } from '../generated/prisma/client.ts';
import { toDate } from '../platform/db/dates.ts';
import { newId } from '../platform/db/ids.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

export type BatchState = 'planned' | 'made' | 'thrown-away';
export type ContainerRow = Container & { earlyClaim: { household: { id: string; name: string } } | null };
export type ReadingRow = ProbeReading & { household: { id: string; name: string } };
export type BatchRow = Batch & { state: string; containers: ContainerRow[]; probeReadings: ReadingRow[] };

export interface Made {
  state: Exclude<BatchState, 'planned'>;
  actualPortions: number;
  frozenOn: string;
  note: string;
}

const withAll = {
  containers: {
    orderBy: { number: 'asc' },
    include: { earlyClaim: { select: { household: { select: { id: true, name: true } } } } },
  },
  probeReadings: {
    orderBy: [{ measuredAt: 'asc' }, { id: 'asc' }],
    include: { household: { select: { id: true, name: true } } },
  },
} satisfies Prisma.BatchInclude;

/** Batches with their containers and probe readings. */
@Injectable()
export class BatchesRepository {
  /** Batches of a round in the order in which they were planned. */
  ofRound(tx: Tx, { cooperativeId }: Scope, roundId: string): Promise<BatchRow[]> {
    return tx.batch.findMany({
      where: { cooperativeId, roundId },
      include: withAll,
      orderBy: { id: 'asc' },
    });
  }

  async find(tx: Tx, { cooperativeId }: Scope, id: string): Promise<BatchRow> {
    const row = await tx.batch.findUnique({
      where: { cooperativeId_id: { cooperativeId, id } },
      include: withAll,
    });
    if (!row) throw new DomainError('not-found', 'There is no such batch');
    return row;
  }

  /** Holds the containers of a batch as they are, so that none ends or comes back while they are written anew. */
  async lockContainers(tx: Tx, { cooperativeId }: Scope, id: string): Promise<void> {
    await tx.$queryRaw`
      SELECT id FROM container WHERE cooperative_id = ${cooperativeId}::uuid AND batch_id = ${id}::uuid ORDER BY id FOR UPDATE`;
  }

  async plan(
    tx: Tx,
    { cooperativeId }: Scope,
    roundId: string,
    batches: readonly { recipeVersionId: string; lotCode: string; plannedPortions: number }[],
  ): Promise<void> {
    await tx.batch.createMany({ data: batches.map((batch) => ({ cooperativeId, id: newId(), roundId, ...batch })) });
  }

  /** Writes what came out of a batch, from the version named; false when it has changed since. */
  async make(tx: Tx, { cooperativeId }: Scope, id: string, version: number, made: Made): Promise<boolean> {
    const { count } = await tx.batch.updateMany({
      where: { cooperativeId, id, version },
      data: { ...made, frozenOn: toDate(made.frozenOn), version: { increment: 1 } },
    });
    return count === 1;
  }

  /** Puts these containers in the place of the batch's sealed ones; those that have ended stay. */
  async reseal(
    tx: Tx,
    { cooperativeId }: Scope,
    batchId: string,
    containers: readonly NewContainer[],
    bestBefore: string,
  ): Promise<void> {
    await tx.container.deleteMany({ where: { cooperativeId, batchId, state: 'sealed' } });
    await tx.container.createMany({
      data: containers.map((container) => ({
        cooperativeId,
        id: newId(),
        batchId,
        bestBefore: toDate(bestBefore),
        ...container,
      })),
    });
  }

  /** Adds a core temperature to the batch's cooling log. */
  async addReading(
    tx: Tx,
    { cooperativeId }: Scope,
    reading: {
      batchId: string;
      householdId: string;
      rule: string;
      startedAt: Date;
      measuredAt: Date;
      celsius: string;
      replacesId: string | null;
      reason: string;
    },
  ): Promise<void> {
    await tx.probeReading.create({ data: { cooperativeId, id: newId(), ...reading } });
  }

  /** Whether the round's share-out is confirmed. */
  async isSharedOut(tx: Tx, { cooperativeId }: Scope, roundId: string): Promise<boolean> {
    return (await tx.shareOut.count({ where: { cooperativeId, roundId, state: 'confirmed' } })) > 0;
  }

  /** A proposal speaks of containers that are not there any more once a yield is entered anew. */
  async supersedeProposal(tx: Tx, { cooperativeId }: Scope, roundId: string): Promise<void> {
    await tx.shareOut.updateMany({
      where: { cooperativeId, roundId, state: 'proposed' },
      data: { state: 'superseded' },
    });
  }

  /** Containers of the round in the common freezer, and swaps that wait for an answer about its containers. */
  async openEnds(
    tx: Tx,
    { cooperativeId }: Scope,
    roundId: string,
    now: Date,
  ): Promise<{ containers: number; portions: number; swaps: number }> {
    const ofRound = { cooperativeId, batch: { roundId } };
    const pool = await tx.container.aggregate({
      where: { ...ofRound, state: 'sealed', holderHouseholdId: null },
      _count: { _all: true },
      _sum: { portions: true },
    });
    const swaps = await tx.swap.count({
      where: {
        cooperativeId,
        state: { in: ['proposed', 'accepted'] },
        openUntil: { gt: now },
        parts: { some: { container: ofRound } },
      },
    });
    return { containers: pool._count._all, portions: pool._sum.portions ?? 0, swaps };
  }

  /** Millilitres of the sealed containers that each household holds. */
  async heldMl(tx: Tx, { cooperativeId }: Scope): Promise<Map<string, number>> {
    const rows = await tx.container.groupBy({
      by: ['holderHouseholdId'],
      where: { cooperativeId, state: 'sealed', holderHouseholdId: { not: null } },
      _sum: { millilitres: true },
    });
    return new Map(rows.map((row) => [row.holderHouseholdId ?? '', row._sum.millilitres ?? 0]));
  }
}
