import { z } from 'zod';
import { id, instant } from './primitives.ts';

/** Kinds of notices; each has its words in the catalogue's area `notices` (`<kind>.title`, `<kind>.words`) and a page that it leads to. */
export const noticeKinds = [
  'recall',
  'recall-drill',
  'recall-closed',
  'suspicion',
  'allergen-declared',
  'diner-declared',
  'turns-not-done',
  'dish-kept',
  'early-claim-lost',
  'ring-found',
  'ring-done',
  'ring-declined',
  'ring-lapsed',
  'rota-published',
  'turn-free',
  'turn-covered',
  'turn-given',
  'turn-swap-asked',
  'turn-swap-done',
  'turn-swap-declined',
  'collection-set',
  'not-collected',
  'not-collected-all',
  'back-in-pool',
] as const;
export const noticeKind = z.enum(noticeKinds);
export type NoticeKind = z.infer<typeof noticeKind>;

/** Where a notice leads, by what it is about. */
export const noticePaths: Record<NoticeKind, (subjectId: string) => string> = {
  recall: (subjectId) => `/recalls/${subjectId}`,
  'recall-drill': (subjectId) => `/recalls/${subjectId}`,
  'recall-closed': (subjectId) => `/recalls/${subjectId}`,
  suspicion: () => '/recalls',
  'allergen-declared': () => '/freezer',
  'diner-declared': () => '/freezer',
  'turns-not-done': () => '/rota',
  'dish-kept': (subjectId) => `/rounds/${subjectId}/share-out`,
  'early-claim-lost': (subjectId) => `/rounds/${subjectId}/share-out`,
  'ring-found': () => '/swaps',
  'ring-done': () => '/swaps',
  'ring-declined': () => '/swaps',
  'ring-lapsed': () => '/swaps',
  'rota-published': () => '/turns',
  'turn-free': () => '/',
  'turn-covered': () => '/turns',
  'turn-given': () => '/turns',
  'turn-swap-asked': () => '/turns',
  'turn-swap-done': () => '/turns',
  'turn-swap-declined': () => '/turns',
  'collection-set': (subjectId) => `/rounds/${subjectId}/collect`,
  'not-collected': (subjectId) => `/rounds/${subjectId}/collect`,
  'not-collected-all': (subjectId) => `/rounds/${subjectId}/collect`,
  'back-in-pool': (subjectId) => `/rounds/${subjectId}/share-out`,
};

/**
 * Figures and names that a notice's words are made from: a name that ends in `On` is a local date, in `At` an instant, in `Minor` money. Never what
 * somebody must not eat.
 */
export const noticeFacts = z.record(z.string(), z.union([z.string().max(300), z.number()]));
export type NoticeFacts = z.infer<typeof noticeFacts>;

/** What my household has been told, and who of it has seen that. */
export const notice = z
  .object({
    id,
    kind: noticeKind,
    facts: noticeFacts,
    subjectId: id.nullable(),
    createdAt: instant,
    /** by whoever asks */
    seen: z.boolean(),
    seenBy: z.array(z.object({ name: z.string(), at: instant })),
  })
  .meta({ id: 'Notice' });

/** The newest notices of my household, the newest first; `unseen` counts all that whoever asks has not seen. */
export const notices = z.object({ unseen: z.int(), items: z.array(notice) }).meta({ id: 'Notices' });
