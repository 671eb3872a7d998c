import { Injectable } from '@nestjs/common';
import { currencyDigits, DomainError, type InputFault } from '@frostmoot/calc';
import type { setUp } from '@frostmoot/contract';
import type { z } from 'zod';
import { Passwords } from '../platform/auth/passwords.ts';
import { SessionRepository } from '../platform/auth/session.repository.ts';
import { Clock } from '../platform/clock/clock.ts';
import { isTimeZone, localToday } from '../platform/clock/local-today.ts';
import { toDate } from '../platform/db/dates.ts';
import { newId, NIL_ID } from '../platform/db/ids.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { enter } from '../platform/db/scope.ts';
import { UnitOfWork } from '../platform/db/unit-of-work.ts';
import { tell } from '../platform/events/tell.ts';
import { DemoAccounts } from './demo-accounts.ts';
import { InstallationRepository } from './installation.repository.ts';
import { PersonRepository } from './person.repository.ts';
import { scopeOf, SignInService, type Me } from './sign-in.service.ts';

type SetUp = z.infer<typeof setUp>;

/** A new cooperative with its first household and coordinator. */
@Injectable()
export class SetUpService {
  constructor(
    private readonly unitOfWork: UnitOfWork,
    private readonly persons: PersonRepository,
    private readonly installation: InstallationRepository,
    private readonly demoAccounts: DemoAccounts,
    private readonly sessions: SessionRepository,
    private readonly passwords: Passwords,
    private readonly signIns: SignInService,
    private readonly clock: Clock,
  ) {}

  /** Signs in at the end, so that the same request sent again also needs the password. */
  async setUp(input: SetUp, address: string): Promise<{ me: Me; secret: string }> {
    refuseUnknown(input);
    const passwordHash = await this.passwords.hash(input.password);
    const { first } = await this.unitOfWork.write(scopeOf(NIL_ID), (tx) => this.create(tx, input, passwordHash));
    if (first) {
      const accounts = await this.demoAccounts.read();
      await this.sessions.endAllOf(accounts.map((account) => account.email));
    }
    return this.signIns.signIn(input, address);
  }

  private async create(tx: Tx, input: SetUp, passwordHash: string): Promise<{ first: boolean }> {
    const { email, displayName, locale } = input;
    const personId = await this.persons.create(tx, { email, displayName, locale, passwordHash });
    const scope = { cooperativeId: newId(), personId };
    await enter(tx, scope);
    const { name, currency, timeZone, unitSystem } = input;
    await tx.cooperative.create({ data: { id: scope.cooperativeId, name, currency, timeZone, locale, unitSystem } });
    const householdId = newId();
    const joinedOn = toDate(localToday(this.clock.now(), timeZone));
    await tx.household.create({
      data: { cooperativeId: scope.cooperativeId, id: householdId, name: input.householdName, joinedOn },
    });
    await this.persons.join(tx, { ...scope, householdId, roles: ['coordinator', 'buyer', 'adult'] });
    await tell(tx, scope, 'cooperative');
    return { first: await this.installation.becomesReal(tx) };
  }
}

function refuseUnknown({ currency, timeZone }: SetUp): void {
  const errors: InputFault[] = [];
  if (!currencyDigits.has(currency)) errors.push({ pointer: '#/currency', detail: 'ISO 4217 has no such currency' });
  if (!isTimeZone(timeZone)) errors.push({ pointer: '#/timeZone', detail: 'There is no time zone of this name' });
  if (errors.length > 0) throw new DomainError('invalid-input', 'Some of the input cannot be used', { errors });
}
