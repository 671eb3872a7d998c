import { api, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { keepWaiting, useWaiting } from '../../lib/waiting.ts';
import { say } from '../../ui/toast.tsx';
import type { Batch } from './yield-draft.ts';

/** Saying which lot went into a batch: shown at once, sent when it can be. Writing down one that nobody has written down needs the connection. */
export function useBatchLots(batch: Batch) {
  const t = useT();
  const { cooperativeId, me } = useSession();
  const personId = me.personId;
  const told = new Set(
    useWaiting(personId)
      .filter(({ kind, target, refused }) => kind === 'lot' && target === batch.id && refused === undefined)
      .flatMap(({ body }) => (body as Schemas['TellBatchLots']).lotIds),
  );
  const tell = ({ id, code }: Pick<Schemas['Lot'], 'id' | 'code'>) => {
    keepWaiting({ personId, cooperativeId, kind: 'lot', target: batch.id, body: { lotIds: [id] } });
    say(t('kitchen.lotKept', { code, batch: batch.lotCode }));
  };
  const write = useWrite<Schemas['SaveLot'], Schemas['Lot']>({
    write: (body, headers) =>
      ok<Schemas['Lot']>(
        api.POST('/api/cooperatives/{cooperativeId}/lots', { params: { path: { cooperativeId } }, body, headers }),
      ),
    topics: ['kitchen', 'recalls', 'buying'],
    onSuccess: tell,
  });
  return { told, tell, write };
}
