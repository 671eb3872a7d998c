import { Injectable } from '@nestjs/common';
import { DomainError, rational } from '@frostmoot/calc';
import type { householdKitchen, saveHouseholdKitchen } from '@frostmoot/contract';
import type { z } from 'zod';
import { requireHousehold, type Actor } from '../platform/auth/actor.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { tell } from '../platform/events/tell.ts';
import { requireVersion } from '../platform/http/if-match.ts';
import { HouseholdKitchensRepository } from './household-kitchens.repository.ts';

export type HouseholdKitchenAnswer = z.infer<typeof householdKitchen>;

/** What a household's kitchen has: the run sheet of a day that is cooked there is worked out from it. */
@Injectable()
export class HouseholdKitchenService {
  constructor(
    private readonly work: UnitOfWork,
    private readonly kitchens: HouseholdKitchensRepository,
  ) {}

  find(actor: Actor, householdId: string): Promise<HouseholdKitchenAnswer> {
    return this.work.read(actor, (tx) => this.answer(tx, actor, householdId));
  }

  save(
    actor: Actor,
    householdId: string,
    version: number,
    typed: z.infer<typeof saveHouseholdKitchen>,
  ): Promise<HouseholdKitchenAnswer> {
    return this.work.write(actor, async (tx) => {
      const before = await this.answer(tx, actor, householdId);
      requireHousehold(actor, householdId);
      requireVersion(before.version, version);
      const pots = typed.potsLitres.map((litres) => rational.parse(litres)).sort((a, b) => rational.cmp(b, a));
      const kept = { ...typed, potsLitres: pots.map((litres) => rational.format(litres)) };
      if (!(await this.kitchens.save(tx, actor, householdId, version, kept))) {
        throw new DomainError('precondition-failed', 'The household has changed since you read it');
      }
      await tell(tx, actor, 'households', householdId);
      await tell(tx, actor, 'kitchen');
      return this.answer(tx, actor, householdId);
    });
  }

  private async answer(tx: Tx, actor: Actor, householdId: string): Promise<HouseholdKitchenAnswer> {
    const row = await this.kitchens.find(tx, actor, householdId);
    if (!row) throw new DomainError('not-found', 'There is no such household');
    const { hobs, ovens, potsLitres, benchPeople, version } = row;
    return { householdId, hobs, ovens, potsLitres, benchPeople, version };
  }
}
