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
