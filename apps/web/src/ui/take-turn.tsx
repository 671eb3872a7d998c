import { useState } from 'react';
import { api, ifMatch, isProblem, ok } from '../lib/api/client.ts';
import type { Schemas } from '../lib/api/schemas.ts';
import { useWrite } from '../lib/api/use-write.ts';
import { useFormats } from '../lib/formats.ts';
import { useLimitWords } from '../lib/limit-words.ts';
import { useT } from '../lib/locale.tsx';
import { useSession } from '../lib/session.tsx';
import { Button } from './button.tsx';
import { Dialog } from './dialog.tsx';
import { Problem } from './problem-box.tsx';
import { say } from './toast.tsx';

/** My household takes a turn that nobody has; what that breaks is said before it is taken all the same. */
export function TakeTurn({ turn, date }: { turn: { id: string; version: number }; date: string }) {
  const t = useT();
  const formats = useFormats();
  const limits = useLimitWords();
  const { cooperativeId, householdId, can } = useSession();
  const [isOpen, setOpen] = useState(false);
  const day = formats.day(date, 'short');
  const take = useWrite<{ despite: boolean }, Schemas['Rota']>({
    write: ({ despite }, headers) =>
      ok<Schemas['Rota']>(
        api.POST('/api/cooperatives/{cooperativeId}/rota-turns/{turnId}/cover', {
          params: { path: { cooperativeId, turnId: turn.id } },
          body: { householdId, despite },
          headers: { ...headers, ...ifMatch(turn.version) },
        }),
      ),
    topics: ['rota', 'accounts', 'rounds'],
    onSuccess: () => {
      setOpen(false);
      say(t('thisWeek.takeTurn.taken', { date: day }));
    },
  });
  if (!can('coordinator', 'buyer', 'adult')) return null;
  const broken = isProblem(take.error, 'rota-limits')
    ? take.error.errors.flatMap((fault) => limits.ofFault(fault) ?? [])
    : [];
  const close = () => {
    take.reset();
    setOpen(false);
  };
  const press = () => take.mutate({ despite: false }, { onError: () => setOpen(true) });
  return (
    <>
      <Button onPress={press} isPending={take.isPending && !isOpen}>
        {t('thisWeek.takeTurn', { date: day })}
      </Button>
      <Dialog title={t('thisWeek.takeTurn.ask', { date: day })} isOpen={isOpen} onClose={close}>
        {broken.length > 0 ? (
          <>
            <p>{t('thisWeek.takeTurn.breaks')}</p>
            <ul>
              {broken.map((sentence) => (
                <li key={sentence}>{sentence}</li>
              ))}
            </ul>
          </>
        ) : (
          <Problem error={take.error} />
        )}
        <div className="row">
          {broken.length > 0 && (
            <Button onPress={() => take.mutate({ despite: true })} isPending={take.isPending}>
              {t('thisWeek.takeTurn.despite')}
            </Button>
          )}
          <Button kind="plain" onPress={close}>
            {t('thisWeek.takeTurn.leave')}
          </Button>
        </div>
      </Dialog>
    </>
  );
}
