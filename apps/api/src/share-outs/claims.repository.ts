import { Injectable } from '@nestjs/common';
import { domainErrorCodes } from '@frostmoot/calc';
import { claimResult } from '@frostmoot/contract';
import { z } from 'zod';
import { newId } from '../platform/db/ids.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';

/** Who wants what of which container, under which key of the request. */
export interface ClaimRequest {
  containerId: string;
  householdId: string;
  key: string;
  requestHash: string;
  now: Date;
}

export interface DishWanted {
  roundId: string;
  recipeId: string;
  /** null: of any size */
  portions: number | null;
  confirmWords: string | null;
}

/** What the database function answers: the result, or a code of the domain with the values of its sentence. */
const outcome = z.discriminatedUnion('status', [
  z.object({ status: z.literal('done'), answer: claimResult }),
  z.object({
    status: z.enum(domainErrorCodes),
    answer: z.record(z.string(), z.union([z.string(), z.number()])).nullable(),
  }),
]);
export type ClaimOutcome = z.infer<typeof outcome>;

const ids = (count: number): string[] => Array.from({ length: count }, newId);

/** Claim and release, each one call of a database function that is its own transaction. */
@Injectable()
export class ClaimsRepository {
  async claim(client: Tx, scope: Scope, request: ClaimRequest, confirmWords: string | null): Promise<ClaimOutcome> {
    const rows = await client.$queryRaw<unknown[]>`
      SELECT status, answer FROM claim_container(${scope.cooperativeId}::uuid, ${scope.personId}::uuid, ${request.householdId}::uuid,
        ${request.containerId}::uuid, ${confirmWords}::text, ${request.key}::text, ${request.requestHash}::text, ${request.now}::timestamptz,
        ${ids(7)}::uuid[])`;
    return outcome.parse(rows[0]);
  }

  /** Claims whichever container of a dish is free; of one size, where `portions` says so. */
  async claimOfDish(
    client: Tx,
    scope: Scope,
    { roundId, recipeId, portions, confirmWords }: DishWanted,
    request: Omit<ClaimRequest, 'containerId'>,
  ): Promise<ClaimOutcome> {
    const rows = await client.$queryRaw<unknown[]>`
      SELECT status, answer FROM claim_of_dish(${scope.cooperativeId}::uuid, ${scope.personId}::uuid, ${request.householdId}::uuid,
        ${roundId}::uuid, ${recipeId}::uuid, ${portions}::integer, ${confirmWords}::text, ${request.key}::text, ${request.requestHash}::text,
        ${request.now}::timestamptz, ${ids(7)}::uuid[])`;
    return outcome.parse(rows[0]);
  }

  /** A container that such a claim may have been about, to say what is in it. */
  async oneOfDish(
    tx: Tx,
    { cooperativeId }: Scope,
    { roundId, recipeId, portions }: DishWanted,
  ): Promise<string | null> {
    const row = await tx.container.findFirst({
      where: {
        cooperativeId,
        state: 'sealed',
        holderHouseholdId: null,
        batch: { roundId, recipeVersion: { recipeId } },
        ...(portions === null ? {} : { portions }),
      },
      select: { id: true },
      orderBy: [{ portions: 'asc' }, { number: 'asc' }],
    });
    return row?.id ?? null;
  }

  async release(client: Tx, scope: Scope, request: ClaimRequest): Promise<ClaimOutcome> {
    const rows = await client.$queryRaw<unknown[]>`
      SELECT status, answer FROM release_container(${scope.cooperativeId}::uuid, ${scope.personId}::uuid, ${request.householdId}::uuid,
        ${request.containerId}::uuid, ${request.key}::text, ${request.requestHash}::text, ${request.now}::timestamptz, ${ids(5)}::uuid[])`;
    return outcome.parse(rows[0]);
  }

  /** Says yes to what the share-out of a round has set aside for a household, but for what somebody of it must not eat; gives how many. */
  claimHeld(tx: Tx, scope: Scope, roundId: string, householdId: string, today: string): Promise<number> {
    return tx.$executeRaw`
      UPDATE claim cl SET state = 'claimed'
      FROM container c JOIN batch b ON b.cooperative_id = c.cooperative_id AND b.id = c.batch_id
      WHERE cl.cooperative_id = ${scope.cooperativeId}::uuid AND cl.household_id = ${householdId}::uuid AND cl.state = 'held'
        AND c.cooperative_id = cl.cooperative_id AND c.id = cl.container_id AND c.state = 'sealed' AND b.round_id = ${roundId}::uuid
        AND excluded_subjects(cl.cooperative_id, c.id, cl.household_id, ${today}::date) = '{}'`;
  }
}
