import { useState } from 'react';
import { api, ifMatch, ok } from '../../lib/api/client.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Dialog } from '../../ui/dialog.tsx';
import { Row } from '../../ui/page.tsx';
import { Problem } from '../../ui/problem-box.tsx';
import { TakeTurn } from '../../ui/take-turn.tsx';
import { say } from '../../ui/toast.tsx';
import { CoverForm } from './cover-form.tsx';
import type { Rota, Turn } from './rota-queries.ts';

/** What becomes of a turn whose household cannot cook: it is given up, or another household takes it. */
export function TurnActs({ turn }: { turn: Turn }) {
  const t = useT();
  const formats = useFormats();
  const { cooperativeId, householdId, can } = useSession();
  const [isOpen, setOpen] = useState(false);
  const date = formats.day(turn.weekOf, 'short');
  const release = useWrite<void, Rota>({
    write: (_, headers) =>
      ok<Rota>(
        api.POST('/api/cooperatives/{cooperativeId}/rota-turns/{turnId}/release', {
          params: { path: { cooperativeId, turnId: turn.id } },
          headers: { ...headers, ...ifMatch(turn.version) },
        }),
      ),
    topics: ['rota', 'accounts', 'rounds'],
    onSuccess: () => {
      setOpen(false);
      say(t('rota.released', { date }));
    },
  });
  if (turn.household === null) return <TakeTurn turn={turn} date={turn.weekOf} />;
  const isOurs = turn.household.id === householdId;
  const close = () => {
    release.reset();
    setOpen(false);
  };
  return (
    <>
      <Button onPress={() => setOpen(true)}>
        {t(isOurs ? 'rota.cannotCook' : 'rota.theyCannotCook')}
        <span className="hidden"> {date}</span>
      </Button>
      <Dialog title={t('rota.cannotTitle', { household: turn.household.name, date })} isOpen={isOpen} onClose={close}>
        <p>{t('rota.cannotWords')}</p>
        <Problem error={release.error} />
        <Row>
          <Button onPress={() => release.mutate()} isPending={release.isPending}>
            {t('rota.giveUp')}
          </Button>
        </Row>
        {can('coordinator') && <CoverForm turn={turn} onDone={close} />}
        <Row>
          <Button kind="plain" onPress={close}>
            {t('rota.leaveIt')}
          </Button>
        </Row>
      </Dialog>
    </>
  );
}
