import { z } from 'zod';
import { id, instant, localDate, longText, named } from './primitives.ts';

/** What is called back: a lot of an ingredient, a line of a receipt whose lot nobody wrote down, or a batch. */
export const recallSource = z.enum(['lot', 'receipt-line', 'batch']);

/** The lot code on a pack, as it was bought. Errors: `not-found`, `conflict`. */
export const saveLot = z
  .object({ receiptLineId: id, code: z.string().trim().min(1).max(60), bestBefore: localDate.nullable().default(null) })
  .meta({ id: 'SaveLot' });

export const lot = z
  .object({
    id,
    code: z.string(),
    ingredient: named,
    bestBefore: localDate.nullable(),
    receiptLineId: id,
    boughtOn: localDate,
    roundNumber: z.int(),
  })
  .meta({ id: 'Lot' });

/** Which lots went into a batch; what was told before stays told. Errors: `not-found`. */
export const tellBatchLots = z.object({ lotIds: z.array(id).min(1).max(50) }).meta({ id: 'TellBatchLots' });
/**
 * What the kitchen may say about a batch: for each ingredient that goes into it, directly or through what its recipe uses, the lots of it that were bought, the
 * newest first, and this round's lines of receipts on which a lot can still be written down.
 */
export const batchLotChoices = z
  .object({
    batchId: id,
    ingredients: z.array(
      z.object({
        ingredient: named,
        lots: z.array(lot.extend({ told: z.boolean() })),
        receiptLines: z.array(z.object({ id, label: z.string(), boughtOn: localDate })),
      }),
    ),
  })
  .meta({ id: 'BatchLotChoices' });
export const batchLots = z.object({ batchId: id, lots: z.array(lot) }).meta({ id: 'BatchLots' });

/** Everything that can be called back, the newest first: lots, lines of receipts, batches. */
export const recallSources = z
  .object({
    lots: z.array(lot),
    receiptLines: z.array(
      z.object({ id, label: z.string(), ingredient: named, boughtOn: localDate, roundNumber: z.int() }),
    ),
    batches: z.array(z.object({ id, lotCode: z.string(), dish: z.string(), roundNumber: z.int() })),
  })
  .meta({ id: 'RecallSources' });

const tracedBatch = z.object({
  id,
  lotCode: z.string(),
  dish: z.string(),
  sure: z.boolean(),
  containers: z.int(),
  portions: z.int(),
});

/** Where it went, before anybody is told. `sure` is false where nobody said which lot went into a batch: it may contain it. */
export const recallTrace = z
  .object({
    what: z.string(),
    lotCode: z.string(),
    batches: z.array(tracedBatch),
    households: z.int(),
    containers: z.int(),
  })
  .meta({ id: 'RecallTrace' });

export const recallQuery = z.object({ source: recallSource, sourceId: id });

/** Calls something back and tells every household that has or had some of it. A drill is told as a drill and changes no container. Errors: `not-found`, `forbidden`. */
export const startRecall = z
  .object({
    source: recallSource,
    sourceId: id,
    drill: z.boolean(),
    reason: longText.default(''),
    /** number of the notice of the producer or the authority */
    reference: z.string().trim().max(120).default(''),
  })
  .meta({ id: 'StartRecall' });

export const recallAnswer = z.enum(['set-apart', 'eaten', 'given-away', 'not-found']);

/** One traced container. `fate`: the newest answer; `gone` is what was thrown away or lost before, `none` what nobody has answered yet. */
export const recalledContainer = z
  .object({
    id,
    code: z.string(),
    dish: z.string(),
    portions: z.int(),
    place: z.string(),
    sure: z.boolean(),
    household: named.nullable(),
    fate: z.enum(['set-apart', 'eaten', 'given-away', 'not-found', 'gone', 'none']),
    eatenOn: localDate.nullable(),
    answeredAt: instant.nullable(),
  })
  .meta({ id: 'RecalledContainer' });

const recallHead = z.object({
  id,
  drill: z.boolean(),
  source: recallSource,
  what: z.string(),
  lotCode: z.string(),
  reason: z.string(),
  reference: z.string(),
  createdAt: instant,
  createdBy: z.string(),
  closedAt: instant.nullable(),
  closedWords: z.string().nullable(),
});

/** How far a household is: `not-reached` until somebody of it has seen the notice or has been sent a mail. */
const recalledHousehold = z.object({
  household: named.nullable(),
  people: z.array(z.string()),
  containers: z.int(),
  portions: z.int(),
  state: z.enum(['not-reached', 'told', 'seen', 'answered']),
  mailedAt: instant.nullable(),
  seenBy: z.array(z.object({ name: z.string(), at: instant })),
  setApart: z.int(),
  eaten: z.int(),
  givenAway: z.int(),
  notFound: z.int(),
  gone: z.int(),
  none: z.int(),
});

/** A recall as whoever asks may see it: their own household's containers; the whole of it for coordinators only. */
export const recall = recallHead
  .extend({
    mine: z.array(recalledContainer),
    report: z
      .object({
        batches: z.array(tracedBatch),
        containers: z.array(recalledContainer),
        households: z.array(recalledHousehold),
        counts: z.object({
          all: z.int(),
          portions: z.int(),
          setApart: z.int(),
          eaten: z.int(),
          givenAway: z.int(),
          notFound: z.int(),
          gone: z.int(),
          none: z.int(),
        }),
      })
      .nullable(),
  })
  .meta({ id: 'Recall' });

/** What an adult thinks may be wrong with a container; it goes to the coordinators. Errors: `not-found`. */
export const suspectReason = z.enum(['warm', 'mould', 'smell', 'other']);
export const reportSuspicion = z
  .object({ containerId: id, reason: suspectReason, words: z.string().trim().max(300).default('') })
  .meta({ id: 'ReportSuspicion' });
export const suspicion = z
  .object({
    id,
    container: z.object({ id, code: z.string(), dish: z.string(), batchId: id }),
    household: named,
    reason: suspectReason,
    words: z.string(),
    createdAt: instant,
  })
  .meta({ id: 'Suspicion' });

/** All recalls, the newest first; `toAnswer` counts my household's containers without an answer. Suspicions of others are for coordinators. */
export const recalls = z
  .object({
    items: z.array(recallHead.extend({ toAnswer: z.int() })),
    suspicions: z.array(suspicion),
  })
  .meta({ id: 'Recalls' });

/** What became of containers of one household (null: the common freezer), by an adult of it or a coordinator for it. The newest answer counts. Errors: `not-found`, `conflict`. */
export const answerRecall = z
  .object({
    householdId: id.nullable(),
    answers: z
      .array(z.object({ containerId: id, answer: recallAnswer, eatenOn: localDate.nullable().default(null) }))
      .min(1)
      .max(500),
  })
  .meta({ id: 'AnswerRecall' });

/** Closes a recall for good; where containers are without an answer, `words` say why it is closed all the same. Errors: `invalid-input`, `conflict`. */
export const closeRecall = z.object({ words: longText.default('') }).meta({ id: 'CloseRecall' });

/** Tells a household once more. */
export const remindRecall = z.object({ householdId: id }).meta({ id: 'RemindRecall' });
