import { Injectable } from '@nestjs/common';
import { mayEat, participantsOn, roundShareOutInput } from '@frostmoot/calc';
import type { Rational, RoundShareOutInput, SharedContainer } from '@frostmoot/calc';
import { Clock } from '../platform/clock/clock.ts';
import { dayOf } from '../platform/clock/day-of.ts';
import type { Tx } from '../platform/db/prisma.ts';
import type { Scope } from '../platform/db/unit-of-work.ts';
import { SharingFactsRepository } from './sharing-facts.repository.ts';

export interface InputNow {
  input: RoundShareOutInput;
  containers: SharedContainer[];
}

/** The input of a share-out as it would be worked out now. */
@Injectable()
export class SharingInput {
  constructor(
    private readonly facts: SharingFactsRepository,
    private readonly clock: Clock,
  ) {}

  async now(tx: Tx, scope: Scope, roundId: string, varietyWindow?: Rational): Promise<InputNow> {
    return this.from(tx, scope, roundId, await this.facts.commonContainers(tx, scope, roundId), { varietyWindow });
  }

  /** As it would be with these containers, and with some households away. */
  async from(
    tx: Tx,
    scope: Scope,
    roundId: string,
    containers: SharedContainer[],
    { varietyWindow, away = new Set() }: { varietyWindow?: Rational; away?: ReadonlySet<string> } = {},
  ): Promise<InputNow> {
    const { today } = await dayOf(tx, scope, this.clock);
    const balances = await this.facts.portionBalances(tx, scope);
    const freeMl = await this.facts.freeMl(tx, scope);
    const participants = participantsOn(await this.facts.participants(tx, scope, roundId), today);
    const households = participants
      .filter(({ householdId }) => !away.has(householdId))
      .map(({ householdId, weight, mustNot, ratherNot }) => ({
        id: householdId,
        weight,
        mustNot,
        ratherNot,
        owedMicro: balances.get(householdId) ?? 0n,
        freeMl: freeMl.get(householdId) ?? null,
      }));
    const commonMicro = await this.facts.commonBalance(tx, scope);
    const terms = varietyWindow ? { commonMicro, varietyWindow } : { commonMicro };
    const fit = withoutUnfitClaims(containers, new Map(households.map(({ id, mustNot }) => [id, mustNot])));
    return { input: roundShareOutInput(roundId, households, fit, terms), containers: fit };
  }
}

/** A claim made before the share-out holds nothing that has turned out since to be unfit for somebody of the household: its container is shared out. */
const withoutUnfitClaims = (
  containers: readonly SharedContainer[],
  mustNot: ReadonlyMap<string, readonly string[]>,
): SharedContainer[] =>
  containers.map((container) =>
    mayEat(mustNot.get(container.claimedBy ?? '') ?? [], container.unfitFor)
      ? container
      : { ...container, claimedBy: null },
  );
