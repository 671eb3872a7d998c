import { z } from 'zod';
import { id, instant, micro, named, rational, version } from './primitives.ts';
import { container } from './stock.ts';

/** One household's sum, in numbers that can be checked by hand: part = portions x weight / totalWeight unless exclusions bound it. */
export const shareOutPart = z
  .object({
    household: named,
    weight: rational,
    totalWeight: rational,
    entitlement: rational,
    owedBefore: rational,
    target: rational,
    received: rational,
    owedAfter: rational,
    short: rational,
    /** dishes it may not eat; null for those who need not know */
    cannotEat: z.array(z.string()).nullable(),
    containers: z.array(container),
  })
  .meta({ id: 'ShareOutPart' });

/** Share-out of a round: none yet, proposed, or confirmed; who gets what and why, the pool, and fairness over the rounds. */
export const shareOut = z
  .object({
    roundId: id,
    roundNumber: z.int(),
    stage: z.string(),
    state: z.enum(['none', 'proposed', 'confirmed']),
    shareOutId: id.nullable(),
    proof: z.string().nullable(),
    totalPortions: z.int(),
    largestContainer: z.int(),
    batchesOpen: z.int(),
    dishes: z.array(z.object({ recipeId: id, name: z.string(), portions: z.int(), containers: z.int() })),
    parts: z.array(shareOutPart),
    /** free containers in the common freezer, of this round and earlier ones */
    pool: z.array(container),
    claimLimitMicro: micro,
    fairness: z.array(
      z.object({ roundNumber: z.int(), after: z.array(z.object({ householdId: id, owed: rational })) }),
    ),
    confirmedAt: instant.nullable(),
    confirmedBy: z.string().nullable(),
    version: version.nullable(),
  })
  .meta({ id: 'ShareOut' });

/** What somebody needs to check a share-out: its input and result as `npx frostmoot calc share-out` takes and gives them, and which very containers. For the coordinator, since the input says who must not eat what. */
export const shareOutProof = z
  .object({
    shareOutId: id,
    roundId: id,
    state: z.enum(['proposed', 'confirmed', 'superseded']),
    proof: z.string(),
    input: z.record(z.string(), z.unknown()),
    result: z.record(z.string(), z.unknown()),
    assigned: z.record(z.string(), z.array(id)),
  })
  .meta({ id: 'ShareOutProof' });

/** Claims a free container for one's household. `confirmWords` after a warning about what a diner must not eat. Errors: `container-taken` (params holder, at), `container-not-free`, `over-allowance` (params), `excluded-food` (params subjects). */
export const claimContainer = z
  .object({ householdId: id, confirmWords: z.string().trim().min(3).max(200).nullable().default(null) })
  .meta({ id: 'ClaimContainer' });

/** Says yes to everything that the share-out set aside for the household. */
export const claimAll = z.object({ householdId: id }).meta({ id: 'ClaimAll' });

/** Gives a container back to the pool. */
export const releaseContainer = z.object({ householdId: id }).meta({ id: 'ReleaseContainer' });

/** What came of a claim or release: the container and the household's portions balance. */
export const claimResult = z
  .object({ container: z.object({ id, holder: named.nullable(), claim: z.string().nullable() }), balanceMicro: micro })
  .meta({ id: 'ClaimResult' });
