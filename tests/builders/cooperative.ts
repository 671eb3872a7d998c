import { createHash, randomBytes, randomUUID } from 'node:crypto';
import type pg from 'pg';
import type { Role } from '@frostmoot/contract';
import { withClient } from '../../tools/database.mjs';
import type { Api, Client } from '../api/harness.ts';

export interface DinerDraft {
  name?: string;
  ageBand?: 'adult' | 'child';
  birthYear?: number | null;
  hard?: string[];
  wish?: string[];
}
export interface HouseholdDraft {
  name: string;
  roles?: Role[];
  diners?: DinerDraft[];
  freezerMl?: number;
  ownWeight?: string;
}
export interface CooperativeDraft {
  name?: string;
  currency?: string;
  timeZone?: string;
  weightScale?: 'per-head' | 'energy' | 'own';
  isDemo?: boolean;
  households?: HouseholdDraft[];
}

export interface BuiltHousehold {
  id: string;
  name: string;
  personId: string;
  email: string;
  /** signed in as the household's one person */
  client: Client;
}
export interface BuiltCooperative {
  id: string;
  path: string;
  /** of the first household, who is the coordinator unless told otherwise */
  coordinator: Client;
  households: BuiltHousehold[];
  household(name: string): BuiltHousehold;
}

const COORDINATOR: Role[] = ['coordinator', 'buyer', 'adult'];

/** A cooperative with households of two adults and a person each, already signed in; written straight into the database, since hashing passwords takes long. */
export async function buildCooperative(api: Api, draft: CooperativeDraft = {}): Promise<BuiltCooperative> {
  const households = draft.households ?? [{ name: 'Alder' }, { name: 'Birch' }, { name: 'Cedar' }];
  const id = randomUUID();
  const built = await withClient(api.database.ownerUrl, async (client) => {
    await client.query(
      `INSERT INTO cooperative (id, name, currency, time_zone, locale, unit_system, is_demo, weight_scale)
       VALUES ($1, $2, $3, $4, 'en', 'metric', $5, $6)`,
      [
        id,
        draft.name ?? 'Tree Lane',
        draft.currency ?? 'EUR',
        draft.timeZone ?? 'Europe/Madrid',
        draft.isDemo ?? false,
        draft.weightScale ?? 'per-head',
      ],
    );
    const made: BuiltHousehold[] = [];
    for (const [index, household] of households.entries()) {
      const roles = household.roles ?? (index === 0 ? COORDINATOR : ['adult']);
      made.push(await buildHousehold(api, client, id, { ...household, roles }));
    }
    return made;
  });
  const [first] = built;
  if (!first) throw new Error('A cooperative needs a household');
  return {
    id,
    path: `/cooperatives/${id}`,
    coordinator: first.client,
    households: built,
    household: (name) => {
      const found = built.find((household) => household.name === name);
      if (!found) throw new Error(`There is no household ${name}`);
      return found;
    },
  };
}

/** One more household in a cooperative that is there. */
export const addHousehold = (api: Api, { id }: BuiltCooperative, household: HouseholdDraft): Promise<BuiltHousehold> =>
  withClient(api.database.ownerUrl, (client) => buildHousehold(api, client, id, household));

/** One more person in a household that is there. */
export const addMember = (
  api: Api,
  { id }: BuiltCooperative,
  household: BuiltHousehold,
  roles: Role[],
): Promise<{ personId: string; email: string; client: Client }> =>
  withClient(api.database.ownerUrl, (client) => buildMember(api, client, { cooperativeId: id, ...household }, roles));

async function buildMember(
  api: Api,
  client: pg.Client,
  { cooperativeId, id, name }: { cooperativeId: string; id: string; name: string },
  roles: Role[],
): Promise<{ personId: string; email: string; client: Client }> {
  const person = await buildPerson(api, client, `${name} Adult`);
  await client.query(
    `INSERT INTO membership (cooperative_id, id, person_id, household_id, roles) VALUES ($1, $2, $3, $4, $5)`,
    [cooperativeId, randomUUID(), person.personId, id, roles],
  );
  return person;
}

async function buildHousehold(
  api: Api,
  client: pg.Client,
  cooperativeId: string,
  { name, roles = ['adult'], diners = [{}, {}], freezerMl, ownWeight }: HouseholdDraft,
): Promise<BuiltHousehold> {
  const id = randomUUID();
  await client.query(
    `INSERT INTO household (cooperative_id, id, name, joined_on, freezer_ml, own_weight) VALUES ($1, $2, $3, '2026-01-05', $4, $5)`,
    [cooperativeId, id, name, freezerMl ?? null, ownWeight ?? null],
  );
  const person = await buildMember(api, client, { cooperativeId, id, name }, roles);
  for (const [index, diner] of diners.entries()) {
    await buildDiner(client, { cooperativeId, householdId: id, personId: person.personId }, index, diner);
  }
  return { id, name, ...person };
}

async function buildDiner(
  client: pg.Client,
  place: { cooperativeId: string; householdId: string; personId: string },
  index: number,
  { name, ageBand = 'adult', birthYear = null, hard = [], wish = [] }: DinerDraft,
): Promise<void> {
  const dinerId = randomUUID();
  await client.query(
    `INSERT INTO diner (cooperative_id, id, household_id, name, age_band, birth_year) VALUES ($1, $2, $3, $4, $5, $6)`,
    [place.cooperativeId, dinerId, place.householdId, name ?? `Diner ${index + 1}`, ageBand, birthYear],
  );
  const restrictions = [...hard.map((subject) => [subject, 'hard']), ...wish.map((subject) => [subject, 'wish'])];
  for (const [subject, strength] of restrictions) {
    await client.query(
      `INSERT INTO diner_restriction (cooperative_id, id, diner_id, subject, strength, consent_by) VALUES ($1, $2, $3, $4, $5, $6)`,
      [place.cooperativeId, randomUUID(), dinerId, subject, strength, place.personId],
    );
  }
}

/** A person with a session, and a password that nobody knows. */
async function buildPerson(
  api: Api,
  client: pg.Client,
  displayName: string,
): Promise<{ personId: string; email: string; client: Client }> {
  const personId = randomUUID();
  const email = `${personId}@example.org`;
  await client.query(`INSERT INTO person (id, email, password_hash, display_name) VALUES ($1, $2, 'none', $3)`, [
    personId,
    email,
    displayName,
  ]);
  const secret = randomBytes(32).toString('base64url');
  await client.query(
    `INSERT INTO session (token_hash, person_id, expires_at) VALUES ($1, $2, now() + interval '90 days')`,
    [createHash('sha256').update(secret).digest(), personId],
  );
  return { personId, email, client: api.client(`frostmoot=${secret}`) };
}
