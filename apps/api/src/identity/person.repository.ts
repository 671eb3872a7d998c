import { Injectable } from '@nestjs/common';
import type { Role } from '@frostmoot/contract';
import { Database, type Tx } from '../platform/db/prisma.ts';
import { newId } from '../platform/db/ids.ts';
import { onUnique } from '../platform/db/on-unique.ts';

export interface NewPerson {
  email: string;
  passwordHash: string;
  displayName: string;
  locale: string;
}

/** Accounts of people: global, outside of any cooperative. */
@Injectable()
export class PersonRepository {
  constructor(private readonly database: Database) {}

  findByEmail(email: string): Promise<{ id: string; passwordHash: string } | null> {
    return this.database.client.person.findUnique({ where: { email }, select: { id: true, passwordHash: true } });
  }

  async create(tx: Tx, person: NewPerson): Promise<string> {
    const id = newId();
    const made = tx.person.create({ data: { id, ...person } });
    await onUnique(made, { person_email_key: 'email-taken' }, 'This e-mail address already has an account');
    return id;
  }

  /** The person with every place that they have; needs the transaction of that person, whose row-level security shows just these. */
  async withPlaces(tx: Tx, personId: string) {
    const person = await tx.person.findUniqueOrThrow({ where: { id: personId } });
    const places = await tx.membership.findMany({
      where: { personId },
      orderBy: { createdAt: 'asc' },
      include: { household: { select: { name: true, cooperative: { select: { name: true, isDemo: true } } } } },
    });
    return { person, places };
  }

  /** False when the person changed since that version. */
  async change(
    tx: Tx,
    personId: string,
    version: number,
    change: { displayName?: string; locale?: string; wantsMail?: boolean },
  ): Promise<boolean> {
    const { count } = await tx.person.updateMany({
      where: { id: personId, version },
      data: { ...change, version: { increment: 1 } },
    });
    return count === 1;
  }

  async join(tx: Tx, place: { cooperativeId: string; personId: string; householdId: string; roles: Role[] }) {
    const made = tx.membership.create({ data: { id: newId(), ...place } });
    await onUnique(
      made,
      { membership_cooperative_id_person_id_key: 'conflict' },
      'This person already has a place in the cooperative',
    );
  }
}
