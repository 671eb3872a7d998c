import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import type { Slot } from './collection-query.ts';

/** "Sat 28 Nov, 17:00 to 18:00", in the cooperative's zone. */
export function useSlotWords(): (slot: Pick<Slot, 'startsAt' | 'endsAt'>) => string {
  const t = useT();
  const formats = useFormats();
  return ({ startsAt, endsAt }) =>
    t('collection.slot', {
      day: formats.day(formats.dateOf(startsAt)),
      from: formats.time(startsAt),
      to: formats.time(endsAt),
    });
}
