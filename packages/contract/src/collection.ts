import { z } from 'zod';
import { id, instant, localDate, named, version } from './primitives.ts';

/** A time at which containers are handed over. `households`: how many have chosen it. */
export const collectionSlot = z
  .object({ id, startsAt: instant, endsAt: instant, households: z.int() })
  .meta({ id: 'CollectionSlot' });

/** That a container was handed over: to whom, by whom, when. */
export const handOver = z.object({ to: named, by: z.string(), at: instant }).meta({ id: 'HandOver' });

/** A container to be collected. It says nothing of who may eat it. */
export const collectionContainer = z
  .object({
    id,
    code: z.string(),
    dish: z.string(),
    portions: z.int(),
    handedOver: handOver.nullable(),
    /** collected: handed over, or put in its place at home */
    isCollected: z.boolean(),
    version,
  })
  .meta({ id: 'CollectionContainer' });

/** What one household collects, when, and who takes it along. `mayHandOver`: whether the reader may tick. */
export const collectionPart = z
  .object({
    household: named,
    slotId: id.nullable(),
    delegate: named.nullable(),
    containers: z.array(collectionContainer),
    mayHandOver: z.boolean(),
    mayChoose: z.boolean(),
  })
  .meta({ id: 'CollectionPart' });

/** The collection of a round: `state` is none until the coordinator has said where and when; `isOver` after the deadline. */
export const collection = z
  .object({
    roundId: id,
    roundNumber: z.int(),
    today: localDate,
    state: z.enum(['not-shared', 'none', 'set']),
    place: z.string(),
    collectBy: instant.nullable(),
    afterDeadline: z.enum(['keep', 'release']),
    isOver: z.boolean(),
    slots: z.array(collectionSlot),
    parts: z.array(collectionPart),
    version: version.nullable(),
  })
  .meta({ id: 'Collection' });

/** Where and when, as typed by the coordinator. A slot with the id of one that is there keeps its choices. Errors: `invalid-input`, `claims-closed` before the share-out, `conflict` when it is set already. */
export const saveCollection = z
  .object({
    place: z.string().trim().min(1).max(120),
    collectBy: instant,
    afterDeadline: z.enum(['keep', 'release']).default('keep'),
    slots: z
      .array(z.object({ id: id.nullable().default(null), startsAt: instant, endsAt: instant }))
      .max(30)
      .default([]),
  })
  .meta({ id: 'SaveCollection' });

/** When a household comes and which other household takes its containers along. Errors: `claims-closed` before the collection is set. */
export const chooseCollection = z
  .object({ householdId: id, slotId: id.nullable(), delegateHouseholdId: id.nullable() })
  .meta({ id: 'ChooseCollection' });

/** A container leaves the common freezer, for its household or for whoever takes it along. Errors: `conflict`, `container-not-free`, `container-taken`. */
export const handOverContainer = z.object({ toHouseholdId: id }).meta({ id: 'HandOverContainer' });

/** What a household has not collected by the deadline goes back to the pool. Errors: `conflict` before the deadline, or where the coordinator has said that it is kept. */
export const releaseUncollected = z.object({ householdId: id }).meta({ id: 'ReleaseUncollected' });
