import { z } from 'zod';
import { id, instant, localDate, named, rational, version } from './primitives.ts';

/** One sealed, labelled container. */
export const container = z
  .object({
    id,
    code: z.string(),
    dish: z.string(),
    recipeId: id,
    roundNumber: z.int(),
    portions: z.int(),
    millilitres: z.int().nullable(),
    bestBefore: localDate,
    holder: named.nullable(),
    state: z.enum(['sealed', 'eaten', 'thrown-away', 'lost', 'recalled']),
    /** state of the live claim, or offered in a swap that waits */
    claim: z.enum(['held', 'claimed', 'collected']).nullable(),
    offered: z.boolean(),
    place: z.string(),
    allergens: z.array(z.string()),
    notDeclared: z.array(z.string()),
    version,
  })
  .meta({ id: 'Container' });

/** What a household holds, earliest best-before first. */
export const freezer = z
  .object({
    household: named,
    today: localDate,
    litresUsed: rational,
    litresTotal: rational.nullable(),
    items: z.array(container),
    ended: z.array(container.extend({ endedAt: instant, endedReason: z.string().nullable() })),
    portionsEaten: z.int(),
    portionsThrownAway: z.int(),
  })
  .meta({ id: 'Freezer' });

/** Ends a container's life: eaten, thrown away with a reason, or lost. */
export const endContainer = z
  .object({ state: z.enum(['eaten', 'thrown-away', 'lost']), reason: z.string().trim().max(200).default('') })
  .meta({ id: 'EndContainer' });

/** Where it lies, in the household's own words. */
export const moveContainer = z.object({ place: z.string().trim().max(80) }).meta({ id: 'MoveContainer' });
