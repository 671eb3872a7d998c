import { z } from 'zod';
import { claimPolicy } from './cooperatives.ts';
import { id, instant, micro, named, rational, rationalAtLeastNil, version } from './primitives.ts';
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
    /** what was free in its freezer when it was worked out; null where freezers were not counted or its size is not said */
    freezerFreeLitres: rational.nullable(),
    /** dishes it may not eat; null for those who need not know */
    cannotEat: z.array(z.string()).nullable(),
    containers: z.array(container),
  })
  .meta({ id: 'ShareOutPart' });

/** When the containers of a round may be claimed. */
export const claimWindow = z.object({ opensAt: instant, closesAt: instant }).meta({ id: 'ClaimWindow' });

/** Opens and closes the claims of a round; null takes the limit away. Errors: `invalid-input` when it closes before it opens. */
export const setClaimWindow = z.object({ window: claimWindow.nullable() }).meta({ id: 'SetClaimWindow' });

/** A household that waits for a dish: its place in the line, and the container that is kept for it. */
export const waiting = z
  .object({
    id,
    household: named,
    recipe: named,
    state: z.enum(['waiting', 'kept', 'met', 'lapsed', 'left']),
    since: instant,
    container: z.object({ id, code: z.string(), portions: z.int() }).nullable(),
    keptUntil: instant.nullable(),
    version,
  })
  .meta({ id: 'Waiting' });

/** Joins the line for a dish. Errors: `conflict` when the household waits for it already, `no-claims`, `household-left`. */
export const joinWaiting = z.object({ householdId: id, recipeId: id }).meta({ id: 'JoinWaiting' });

/** What turned out wrong after the confirmation, with its reason. */
export const shareOutCorrection = z
  .object({
    id,
    kind: z.enum(['broken', 'other-household']),
    container: z.object({ id, code: z.string(), dish: z.string(), portions: z.int() }),
    from: named,
    to: named.nullable(),
    reason: z.string(),
    at: instant,
    by: z.string(),
  })
  .meta({ id: 'ShareOutCorrection' });

/** Corrects a confirmed share-out by an entry of its own: a container was broken, or is with another household than it was given to. Errors: `conflict`, `container-not-free`, `excluded-food`, `round-not-ready`. */
export const correctShareOut = z
  .object({
    containerId: id,
    kind: z.enum(['broken', 'other-household']),
    toHouseholdId: id.nullable().default(null),
    reason: z.string().trim().min(3).max(300),
  })
  .meta({ id: 'CorrectShareOut' });

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
    policy: claimPolicy,
    window: claimWindow.nullable(),
    /** claims made before the share-out */
    earlyClaims: z.array(z.object({ containerId: id, household: named, at: instant })),
    /** who waits for a dish, the first in line first */
    waiting: z.array(waiting),
    corrections: z.array(shareOutCorrection),
    /** whether free freezer space binds: only where every container's volume is known */
    freezersCounted: z.boolean(),
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

const confirmWords = z.string().trim().min(3).max(200).nullable().default(null);

/** Claims a free container for one's household. `confirmWords` after a warning about what a diner must not eat. Errors: `container-taken` (params holder, at), `container-kept` (params holder, until), `container-not-free`, `over-allowance` (params), `excluded-food` (params subjects, ingredients; final 1 before the share-out), `claims-closed`, `claims-not-yet` (params opensAt), `claims-over` (params closedAt), `no-claims`, `household-left`. */
export const claimContainer = z.object({ householdId: id, confirmWords }).meta({ id: 'ClaimContainer' });

/** Claims any free container of a dish of a round, of the size that `portions` names, else the smallest first; what is kept for the household comes before. Errors: `none-left`, and those of claimContainer. */
export const claimOfDish = z
  .object({
    householdId: id,
    recipeId: id,
    portions: z.int().min(1).nullable().default(null),
    confirmWords,
  })
  .meta({ id: 'ClaimOfDish' });

/** Says yes to everything that the share-out set aside for the household. */
export const claimAll = z.object({ householdId: id }).meta({ id: 'ClaimAll' });

/** Gives a container back to the pool. */
export const releaseContainer = z.object({ householdId: id }).meta({ id: 'ReleaseContainer' });

/** What came of a claim or release: the container and the household's portions balance. */
export const claimResult = z
  .object({ container: z.object({ id, holder: named.nullable(), claim: z.string().nullable() }), balanceMicro: micro })
  .meta({ id: 'ClaimResult' });

/** Ids with commas between them. */
const idList = z
  .string()
  .max(4000)
  .regex(/^[0-9a-f-]{36}(,[0-9a-f-]{36})*$/);

/** What to try: a wider window for variety (portions), batches left out, households away. */
export const previewQuery = z.object({
  varietyWindow: rationalAtLeastNil.optional(),
  without: idList.optional(),
  away: idList.optional(),
});

/** What one household would get. */
export const previewPart = z
  .object({
    received: rational,
    target: rational,
    owedAfter: rational,
    short: rational,
    dishes: z.array(z.object({ recipeId: id, name: z.string(), containers: z.int(), portions: z.int() })),
  })
  .meta({ id: 'PreviewPart' });

/**
 * A share-out that is only looked at: from what is there and what is still planned, with nothing searched for beyond the first division and nothing kept. `parts`
 * say what each household would get, and what it would get without the changes that were asked for; null for a household that takes no part.
 */
export const shareOutPreview = z
  .object({
    roundId: id,
    batches: z.array(z.object({ id, code: z.string(), dish: z.string(), isPlanned: z.boolean(), portions: z.int() })),
    totalPortions: z.int(),
    freezersCounted: z.boolean(),
    isChanged: z.boolean(),
    parts: z.array(z.object({ household: named, now: previewPart.nullable(), changed: previewPart.nullable() })),
  })
  .meta({ id: 'ShareOutPreview' });

/** How a share-out is searched for. `varietyWindow`: portions by which variety may move a household from its nearest target. */
export const searchShareOut = z
  .object({ varietyWindow: rationalAtLeastNil.default('0') })
  .meta({ id: 'SearchShareOut' });
