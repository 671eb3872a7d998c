import { Injectable } from '@nestjs/common';
import { DomainError, isRestriction, type InputFault } from '@frostmoot/calc';
import type { saveDiner } from '@frostmoot/contract';
import type { z } from 'zod';
import { LedgerRepository } from '../accounts/ledger.repository.ts';
import { NoticesService } from '../notices/notices.service.ts';
import { requireHousehold, type Actor } from '../platform/auth/actor.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { tell } from '../platform/events/tell.ts';
import { requireVersion } from '../platform/http/if-match.ts';
import { DinerRepository } from './diner.repository.ts';
import { HouseholdsService } from './households.service.ts';
import type { Household } from './household-view.ts';

type Save = z.infer<typeof saveDiner>;
const stale = () => new DomainError('precondition-failed', 'This diner has changed since you read it');

/** Who eats in a household; each act answers the household. */
@Injectable()
export class DinersService {
  constructor(
    private readonly unitOfWork: UnitOfWork,
    private readonly diners: DinerRepository,
    private readonly households: HouseholdsService,
    private readonly ledger: LedgerRepository,
    private readonly notices: NoticesService,
  ) {}

  add(actor: Actor, householdId: string, input: Save): Promise<Household> {
    refuseRestrictions(input);
    return this.onHousehold(actor, householdId, async (tx) => {
      await this.lockBooks(tx, actor, householdId);
      const dinerId = await this.diners.create(tx, actor, householdId, fieldsOf(input));
      await this.restrict(tx, actor, householdId, dinerId, input);
    });
  }

  change(actor: Actor, householdId: string, dinerId: string, version: number, input: Save): Promise<Household> {
    refuseRestrictions(input);
    return this.onHousehold(actor, householdId, async (tx) => {
      await this.requireDiner(tx, actor, householdId, dinerId, version);
      await this.lockBooks(tx, actor, householdId);
      if (!(await this.diners.change(tx, actor, dinerId, version, fieldsOf(input)))) throw stale();
      await this.restrict(tx, actor, householdId, dinerId, input);
    });
  }

  remove(actor: Actor, householdId: string, dinerId: string, version: number): Promise<Household> {
    return this.onHousehold(actor, householdId, async (tx) => {
      await this.requireDiner(tx, actor, householdId, dinerId, version);
      if (!(await this.diners.remove(tx, actor, dinerId, version))) throw stale();
    });
  }

  /** Whoever gives a container to a household locks its account first: what is under way ends before this, and what comes after knows of it. */
  private async lockBooks(tx: Tx, actor: Actor, householdId: string): Promise<void> {
    await this.ledger.lockAccounts(tx, actor, [{ book: 'portions', account: { kind: 'household', householdId } }]);
  }

  /** What the household has in its freezer by now it is told of, in words that do not say why. */
  private async restrict(tx: Tx, actor: Actor, householdId: string, dinerId: string, input: Save): Promise<void> {
    const added = await this.diners.setRestrictions(tx, actor, dinerId, input.restrictions);
    const subjects = added.filter(({ strength }) => strength === 'hard').map(({ subject }) => subject);
    if (subjects.length === 0) return;
    for (const { dish, codes } of await this.diners.heldUnfit(tx, actor, householdId, subjects)) {
      const facts = { dish, codes: codes.slice(0, 12).join(', '), n: codes.length };
      const notice = { householdIds: [householdId], kind: 'diner-declared' as const, facts, subjectId: householdId };
      await this.notices.give(tx, actor, notice);
    }
  }

  private onHousehold(actor: Actor, householdId: string, work: (tx: Tx) => Promise<void>): Promise<Household> {
    return this.unitOfWork.write(actor, async (tx) => {
      await this.households.view(tx, actor, householdId);
      requireHousehold(actor, householdId);
      await work(tx);
      await tell(tx, actor, 'households', householdId);
      return this.households.view(tx, actor, householdId);
    });
  }

  private async requireDiner(tx: Tx, actor: Actor, householdId: string, dinerId: string, version: number) {
    const found = await this.diners.find(tx, actor, householdId, dinerId);
    if (!found) throw new DomainError('not-found', 'There is no such diner in this household');
    requireVersion(found.version, version);
  }
}

function fieldsOf({ name, ageBand, birthYear }: Save) {
  return { name, ageBand, birthYear };
}

function refuseRestrictions({ restrictions, consent }: Save): void {
  const errors: InputFault[] = restrictions.flatMap(({ subject }, index) => {
    const pointer = `#/restrictions/${index}/subject`;
    if (!isRestriction(subject)) return [{ pointer, detail: 'This is no allergen or diet that we know' }];
    const before = restrictions.findIndex((other) => other.subject === subject);
    return before < index ? [{ pointer, detail: 'This is listed twice' }] : [];
  });
  if (restrictions.length > 0 && !consent) {
    errors.push({ pointer: '#/consent', detail: 'What somebody must not eat is kept only with consent' });
  }
  if (errors.length > 0) throw new DomainError('invalid-input', 'Some of the input cannot be used', { errors });
}
