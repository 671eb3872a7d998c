import { useIsMutating, useQueryClient } from '@tanstack/react-query';
import { useNavigate } from '@tanstack/react-router';
import { useState } from 'react';
import { api, ifMatch, ok } from '../lib/api/client.ts';
import { useWrite } from '../lib/api/use-write.ts';
import { useT } from '../lib/locale.tsx';
import { PLACE_OF, stageAfter, type ApiStage, type Round } from '../lib/round-stage.ts';
import { roundQuery } from '../lib/rounds.ts';
import { useSession } from '../lib/session.tsx';
import { Button } from './button.tsx';
import { ConfirmTyped, Dialog } from './dialog.tsx';
import { Problem } from './problem-box.tsx';
import { say } from './toast.tsx';

type Target = Exclude<ApiStage, 'planning'>;

function useMove(round: Round) {
  const t = useT();
  const { cooperativeId } = useSession();
  const navigate = useNavigate();
  const queryClient = useQueryClient();
  return useWrite<Target, Round>({
    write: (to, headers) =>
      ok<Round>(
        api.POST('/api/cooperatives/{cooperativeId}/rounds/{roundId}/stage', {
          params: { path: { cooperativeId, roundId: round.id } },
          body: { to },
          headers: { ...headers, ...ifMatch(round.version) },
        }),
      ),
    topics: ['rounds', 'buying', 'kitchen', 'share-outs', 'accounts'],
    onSuccess: async (moved) => {
      queryClient.setQueryData(roundQuery(cooperativeId, round.id).queryKey, moved);
      say(t(`round.moved.${moved.stage as Target}`, { number: moved.number }));
      await navigate({ to: `/rounds/$roundId/${PLACE_OF[moved.stage]}`, params: { roundId: round.id } });
    },
  });
}

/**
 * Moves a round to its next stage; a second step names what that fixes, since a round never goes back. For coordinators; others and rounds
 * that cannot move yet are told so in words.
 */
export function MoveRound({ round, tall, kind = 'main' }: { round: Round; tall?: boolean; kind?: 'main' | 'normal' }) {
  const t = useT();
  const { can } = useSession();
  const [isOpen, setOpen] = useState(false);
  const to = stageAfter(round.stage) as Target | undefined;
  const move = useMove(round);
  // A change that is still being saved would make the version that this move names an old one.
  const isSaving = useIsMutating() > 0;
  if (!to) return null;
  if (!can('coordinator')) return <p className="soft">{t('round.coordinatorMoves')}</p>;
  const open = round.openPoints.length;
  const blocking = round.openPoints.filter((point) => point.blocks).length;
  if (round.next !== to) return <p className="soft">{t(`round.notReady.${to}`, { n: blocking })}</p>;
  const label = open > 0 ? t(`round.moveOpen.${to}`, { n: open }) : t(`round.move.${to}`, { number: round.number });
  const close = () => {
    move.reset();
    setOpen(false);
  };
  const question = t(`round.moveAsk.${to}`, { number: round.number });
  return (
    <>
      <Button kind={kind} tall={tall} isPending={isSaving && !isOpen} onPress={() => setOpen(true)}>
        {label}
      </Button>
      {to === 'settled' ? (
        <ConfirmTyped
          isOpen={isOpen}
          onClose={close}
          title={question}
          consequence={<p>{t('round.moveMeans.settled')}</p>}
          word={String(round.number)}
          confirm={t('round.move.settled', { number: round.number })}
          keep={t('round.stay')}
          onConfirm={() => move.mutate(to)}
          isPending={move.isPending}
          problem={<Problem error={move.error} />}
        />
      ) : (
        <Dialog title={question} isOpen={isOpen} onClose={close}>
          <p>{t(`round.moveMeans.${to}`)}</p>
          <Problem error={move.error} />
          <div className="row">
            <Button onPress={() => move.mutate(to)} isPending={move.isPending}>
              {label}
            </Button>
            <Button kind="plain" onPress={close}>
              {t('round.stay')}
            </Button>
          </div>
        </Dialog>
      )}
    </>
  );
}
