import { z } from 'zod';

/** Topics of the live stream; the screen reads again what a topic touches. */
export const topics = [
  'cooperative',
  'households',
  'recipes',
  'rounds',
  'buying',
  'kitchen',
  'share-outs',
  'stock',
  'swaps',
  'accounts',
  'jobs',
  'notices',
  'recalls',
  'rota',
] as const;
export const topic = z.enum(topics);
export type Topic = z.infer<typeof topic>;

/** One event of the stream; `subjectId` is what changed, where one thing did. */
export const liveEvent = z.object({ topic, subjectId: z.string().nullable() }).meta({ id: 'LiveEvent' });

/** How far a stream has come: the number of the last event, which each event has as its id and a stream that has caught up says as `place`. */
export const eventPlace = z.string().regex(/^\d{1,18}$/);
