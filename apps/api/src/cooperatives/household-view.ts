import { exclusionsOf, headcountWeight, mayKnowRestrictions, rational, type WeightPolicy } from '@frostmoot/calc';
import type { household, Role } from '@frostmoot/contract';
import type { z } from 'zod';
import type { Actor } from '../platform/auth/actor.ts';
import { fromDate } from '../platform/db/dates.ts';
import type { HouseholdRow } from './household.repository.ts';

export type Household = z.infer<typeof household>;

/** What a view of households needs besides their rows. */
export interface Viewing {
  actor: Actor;
  cooksForAll: boolean;
  weights: WeightPolicy;
  /** of the cooperative's date */
  year: number;
  millilitresHeld: ReadonlyMap<string, number>;
}

type Strength = 'hard' | 'wish';
const litres = (millilitres: number) => rational.format(rational.rational(BigInt(millilitres), 1000n));

/** A household as this actor may see it: restrictions only for those who must know them. */
export function viewHousehold(row: HouseholdRow, viewing: Viewing): Household {
  const { actor, cooksForAll } = viewing;
  const known = mayKnowRestrictions({
    ownHousehold: row.id === actor.householdId,
    coordinator: actor.roles.includes('coordinator'),
    cooksForAll,
  });
  const diners = row.diners.map((diner) => ({
    id: diner.id,
    name: diner.name,
    ageBand: diner.ageBand as 'adult' | 'child',
    birthYear: diner.birthYear,
    restrictions: diner.restrictions.map(({ subject, strength }) => ({ subject, strength: strength as Strength })),
    version: diner.version,
  }));
  const { mustNot, ratherNot } = exclusionsOf(diners);
  return {
    id: row.id,
    name: row.name,
    joinedOn: fromDate(row.joinedOn),
    leftOn: row.leftOn && fromDate(row.leftOn),
    freezerLitres: row.freezerMl === null ? null : litres(row.freezerMl),
    litresUsed: litres(viewing.millilitresHeld.get(row.id) ?? 0),
    ownWeight: row.ownWeight,
    alertDays: row.alertDays,
    weight: rational.format(weightOf(row, viewing)),
    diners: known ? diners : diners.map((diner) => ({ ...diner, restrictions: null })),
    mustNot: known ? mustNot : null,
    ratherNot: known ? ratherNot : null,
    members: row.memberships.map(({ personId, person, roles }) => ({
      personId,
      displayName: person.displayName,
      roles: roles as Role[],
    })),
    version: row.version,
  };
}

/** Nil while a cooperative that counts by its own numbers has none for the household yet. */
function weightOf(row: HouseholdRow, { weights, year }: Viewing) {
  const own = row.ownWeight === null ? rational.zero : rational.parse(row.ownWeight);
  const diners = row.diners.map(({ ageBand, birthYear }) => ({
    ageBand: ageBand as 'adult' | 'child',
    ...(birthYear === null ? {} : { birthYear }),
  }));
  return headcountWeight(diners, weights, year, own);
}
