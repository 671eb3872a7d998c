import type { NoticeKind } from '@frostmoot/contract';
import { useFormats, type Formats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import type { MessageKey } from '../../lib/messages/areas.ts';
import type { MessageValues } from '../../lib/messages/format-message.ts';
import type { Notice } from '../../lib/notices-query.ts';

/** Every kind has its words: a title and what to do. */
type KindsWithoutWords = Exclude<`notices.${NoticeKind}.${'title' | 'words'}`, MessageKey>;
const everyKindHasWords: [KindsWithoutWords] extends [never] ? true : KindsWithoutWords = true;
void everyKindHasWords;

/** The facts as people read them: names say what they are (see the contract). */
function valuesOf(facts: Notice['facts'], formats: Formats): MessageValues {
  const values: MessageValues = {};
  for (const [name, value] of Object.entries(facts)) {
    if (typeof value === 'number') values[name] = value;
    else if (name.endsWith('On')) values[name] = formats.day(value);
    else if (name.endsWith('At')) values[name] = formats.dayTime(value);
    else if (name.endsWith('Minor')) values[name] = formats.money(value);
    else values[name] = value;
  }
  return values;
}

/** Title and words of a notice in the language in use. */
export function useNoticeWords(): (notice: Notice) => { title: string; words: string } {
  const t = useT();
  const formats = useFormats();
  return ({ kind, facts }) => {
    const values = valuesOf(facts, formats);
    return { title: t(`notices.${kind}.title`, values), words: t(`notices.${kind}.words`, values) };
  };
}

/** Where a notice leads; the contract's list, kept here as well so that its schemas stay out of the browser. */
export const pathOf: Record<NoticeKind, (subjectId: string) => string> = {
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
