import { Injectable } from '@nestjs/common';
import { DomainError, rational, typedWeight } from '@frostmoot/calc';
import type { saveHousehold } from '@frostmoot/contract';
import type { z } from 'zod';
import { requireHousehold, type Actor } from '../platform/auth/actor.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { tell } from '../platform/events/tell.ts';
import { requireVersion } from '../platform/http/if-match.ts';
import { CooperativeSettings } from '../recipes/cooperative-settings.ts';
import { HouseholdRepository, type HouseholdFields } from './household.repository.ts';
import { viewHousehold, type Household, type Viewing } from './household-view.ts';

type Save = z.infer<typeof saveHousehold>;
const MOST_MILLILITRES = 100_000_000n;

/** Households of the cooperative. */
@Injectable()
export class HouseholdsService {
  constructor(
    private readonly unitOfWork: UnitOfWork,
    private readonly households: HouseholdRepository,
    private readonly settings: CooperativeSettings,
  ) {}

  all(actor: Actor): Promise<{ items: Household[] }> {
    return this.unitOfWork.read(actor, async (tx) => {
      const rows = await this.households.all(tx, actor);
      const viewing = await this.viewing(tx, actor);
      return { items: rows.map((row) => viewHousehold(row, viewing)) };
    });
  }

  get(actor: Actor, id: string): Promise<Household> {
    return this.unitOfWork.read(actor, (tx) => this.view(tx, actor, id));
  }

  create(actor: Actor, input: Save): Promise<Household> {
    const fields = fieldsOf(input);
    return this.unitOfWork.write(actor, async (tx) => {
      const { today } = await this.settings.of(tx, actor);
      const id = await this.households.create(tx, actor, fields, today);
      await tell(tx, actor, 'households', id);
      return this.view(tx, actor, id);
    });
  }

  change(actor: Actor, id: string, version: number, input: Save): Promise<Household> {
    const fields = fieldsOf(input);
    return this.unitOfWork.write(actor, async (tx) => {
      const row = await this.require(tx, actor, id);
      requireHousehold(actor, id);
      requireVersion(row.version, version);
      const ownWeight = allowedWeight(actor, row.ownWeight, fields.ownWeight);
      if (!(await this.households.change(tx, actor, id, version, { ...fields, ownWeight }))) {
        throw new DomainError('precondition-failed', 'The household has changed since you read it');
      }
      await tell(tx, actor, 'households', id);
      return this.view(tx, actor, id);
    });
  }

  /** The household as the actor may see it, inside a transaction. */
  async view(tx: Tx, actor: Actor, id: string): Promise<Household> {
    const row = await this.require(tx, actor, id);
    return viewHousehold(row, await this.viewing(tx, actor));
  }

  private async require(tx: Tx, actor: Actor, id: string) {
    const row = await this.households.find(tx, actor, id);
    if (!row) throw new DomainError('not-found', 'There is no such household');
    return row;
  }

  private async viewing(tx: Tx, actor: Actor): Promise<Viewing> {
    const { weights, today } = await this.settings.of(tx, actor);
    return {
      actor,
      weights,
      year: Number(today.slice(0, 4)),
      cooksForAll: await this.households.cooksForAll(tx, actor, actor.householdId),
      millilitresHeld: await this.households.millilitresHeld(tx, actor),
    };
  }
}

function fieldsOf({ name, freezerLitres, ownWeight, alertDays }: Save): HouseholdFields {
  return {
    name,
    freezerMl: freezerLitres === null ? null : millilitresOf(freezerLitres),
    ownWeight: ownWeight === null ? null : rational.format(typedWeight(ownWeight, '#/ownWeight')),
    ...(alertDays === undefined ? {} : { alertDays }),
  };
}

function millilitresOf(freezerLitres: string): number {
  const millilitres = rational.mul(rational.parse(freezerLitres), rational.rational(1000n));
  if (!rational.isInteger(millilitres) || millilitres.n > MOST_MILLILITRES) {
    const errors = [{ pointer: '#/freezerLitres', detail: 'Whole millilitres, at most 100,000 litres' }];
    throw new DomainError('invalid-input', 'Some of the input cannot be used', { errors });
  }
  return Number(millilitres.n);
}

/** What a household's own number is decides what it pays and gets, so only a coordinator changes it; from others it stays as it was. */
function allowedWeight(actor: Actor, present: string | null, wanted: string | null): string | null {
  if (actor.roles.includes('coordinator') || wanted === present) return wanted;
  if (wanted === null) return present;
  throw new DomainError('forbidden', 'Only a coordinator sets the number that a household counts for');
}
