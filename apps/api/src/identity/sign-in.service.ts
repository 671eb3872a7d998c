import { Injectable } from '@nestjs/common';
import { DomainError } from '@frostmoot/calc';
import type { me, Role } from '@frostmoot/contract';
import type { z } from 'zod';
import { Attempts } from '../platform/auth/attempts.ts';
import { Passwords } from '../platform/auth/passwords.ts';
import { SessionRepository } from '../platform/auth/session.repository.ts';
import { NIL_ID } from '../platform/db/ids.ts';
import type { Tx } from '../platform/db/prisma.ts';
import { UnitOfWork, type Scope } from '../platform/db/unit-of-work.ts';
import { InstallationRepository } from './installation.repository.ts';
import { PersonRepository } from './person.repository.ts';

export type Me = z.infer<typeof me>;
export interface Credentials {
  email: string;
  password: string;
}

/** Outside of any cooperative. */
export function scopeOf(personId: string): Scope {
  return { cooperativeId: NIL_ID, personId };
}

const refused = () => new DomainError('wrong-credentials', 'E-mail address or password is wrong');

/** Signing in: who has these credentials, and what they may open. */
@Injectable()
export class SignInService {
  constructor(
    private readonly persons: PersonRepository,
    private readonly installation: InstallationRepository,
    private readonly passwords: Passwords,
    private readonly attempts: Attempts,
    private readonly sessions: SessionRepository,
    private readonly unitOfWork: UnitOfWork,
  ) {}

  /** Begins a session; the same refusal for an unknown address, a wrong password and an account of the closed demonstration. */
  async signIn(credentials: Credentials, address: string): Promise<{ me: Me; secret: string }> {
    const personId = await this.personOf(credentials, address);
    const found = await this.read(personId);
    if (found.demoOnly && (await this.installation.state()).real) throw refused();
    return { me: found.me, secret: await this.sessions.begin(personId) };
  }

  async signOut(secret: string): Promise<void> {
    await this.sessions.end(secret);
  }

  /** Who has these credentials; counts what fails. */
  async personOf({ email, password }: Credentials, address: string): Promise<string> {
    this.attempts.check(email, address);
    const person = await this.persons.findByEmail(email);
    if (!(await this.passwords.matches(person?.passwordHash ?? null, password)) || !person) {
      this.attempts.failed(email, address);
      throw refused();
    }
    this.attempts.succeeded(email, address);
    return person.id;
  }

  async me(personId: string): Promise<Me> {
    return (await this.read(personId)).me;
  }

  private read(personId: string): Promise<{ me: Me; demoOnly: boolean }> {
    return this.unitOfWork.read(scopeOf(personId), (tx) => this.readIn(tx, personId));
  }

  /** Needs the transaction of that person. */
  async readIn(tx: Tx, personId: string): Promise<{ me: Me; demoOnly: boolean }> {
    const { person, places } = await this.persons.withPlaces(tx, personId);
    return {
      demoOnly: places.length > 0 && places.every((place) => place.household.cooperative.isDemo),
      me: {
        personId,
        email: person.email,
        displayName: person.displayName,
        locale: person.locale as Me['locale'],
        wantsMail: person.wantsMail,
        version: person.version,
        memberships: places.map((place) => ({
          cooperativeId: place.cooperativeId,
          cooperativeName: place.household.cooperative.name,
          householdId: place.householdId,
          householdName: place.household.name,
          roles: place.roles as Role[],
        })),
      },
    };
  }
}
