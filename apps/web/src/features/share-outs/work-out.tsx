import { useQueryClient } from '@tanstack/react-query';
import { useCallback, useState } from 'react';
import { api, ifMatch, isProblem, ok } from '../../lib/api/client.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useCooperativeId, useSession } from '../../lib/session.tsx';
import { useJob, type Job } from '../../lib/use-job.ts';
import { AddressButton, Button, LinkButton } from '../../ui/button.tsx';
import { Card, Empty } from '../../ui/card.tsx';
import { Dialog } from '../../ui/dialog.tsx';
import { JobProgress } from '../../ui/job-progress.tsx';
import { Row } from '../../ui/page.tsx';
import { Problem, ProblemBox } from '../../ui/problem-box.tsx';
import { say } from '../../ui/toast.tsx';
import { shareOutQuery, type ShareOut } from './share-out-query.ts';

const TOPICS = ['share-outs', 'rounds', 'stock', 'accounts'] as const;

function useProposal(shareOut: ShareOut) {
  const t = useT();
  const cooperativeId = useCooperativeId();
  const queryClient = useQueryClient();
  const keep = (next: ShareOut) =>
    queryClient.setQueryData(shareOutQuery(cooperativeId, shareOut.roundId).queryKey, next);
  const onEnd = useCallback(
    (ended: Job) => {
      if (ended.problem) return;
      void queryClient.invalidateQueries({ queryKey: shareOutQuery(cooperativeId, shareOut.roundId).queryKey });
      say(t('shareOut.said.workedOut'));
    },
    [queryClient, cooperativeId, shareOut.roundId, t],
  );
  const search = useJob('share-out', shareOut.roundId, onEnd);
  const workOut = useWrite<void, Job>({
    write: (_, headers) =>
      ok<Job>(
        api.POST('/api/cooperatives/{cooperativeId}/rounds/{roundId}/share-out/search', {
          params: { path: { cooperativeId, roundId: shareOut.roundId } },
          body: { varietyWindow: '0' },
          headers,
        }),
      ),
    topics: ['jobs'],
    onSuccess: (started) => void search.keep(started),
  });
  const confirm = useWrite<{ shareOutId: string; version: number }, ShareOut>({
    write: ({ shareOutId, version }, headers) =>
      ok<ShareOut>(
        api.POST('/api/cooperatives/{cooperativeId}/share-outs/{shareOutId}/confirm', {
          params: { path: { cooperativeId, shareOutId } },
          headers: { ...headers, ...ifMatch(version) },
        }),
      ),
    topics: TOPICS,
    onSuccess: (next) => {
      keep(next);
      say(t('shareOut.said.confirmed', { round: next.roundNumber }));
    },
  });
  return { workOut, confirm, search };
}
type Proposal = ReturnType<typeof useProposal>;

/** For the round that is at its share-out: the coordinator works it out, again if need be, and confirms it; others are told what they wait for. */
export function WorkOut({ shareOut }: { shareOut: ShareOut }) {
  const t = useT();
  const { can } = useSession();
  const proposal = useProposal(shareOut);
  const isCoordinator = can('coordinator');
  const open = shareOut.batchesOpen;
  const toKitchen = open > 0 && (
    <LinkButton to="/rounds/$roundId/cook" params={{ roundId: shareOut.roundId }}>
      {t('shareOut.enterYields')}
    </LinkButton>
  );
  if (shareOut.state === 'none') {
    const act = isCoordinator && open === 0 && !proposal.search.open && (
      <Button kind="main" isPending={proposal.workOut.isPending} onPress={() => proposal.workOut.mutate()}>
        {t('shareOut.workOut')}
      </Button>
    );
    return (
      <Card title={t('shareOut.notWorkedOut')}>
        <Empty action={act || toKitchen}>
          {open > 0
            ? t('shareOut.batchesOpen', { n: open })
            : t(isCoordinator ? 'shareOut.workOutWords' : 'shareOut.workOutWait', { n: shareOut.totalPortions })}
        </Empty>
        <Progress proposal={proposal} />
        <ProposalProblem proposal={proposal} />
      </Card>
    );
  }
  return (
    <Card framed title={t('shareOut.proposal')}>
      <p className="measure">{t(isCoordinator ? 'shareOut.proposalWords' : 'shareOut.proposalWait')}</p>
      {open > 0 && <p className="measure">{t('shareOut.batchesOpen', { n: open })}</p>}
      <Progress proposal={proposal} />
      <ProposalProblem proposal={proposal} />
      <Row>
        {isCoordinator && open === 0 && !proposal.search.open && <Confirm shareOut={shareOut} proposal={proposal} />}
        {toKitchen}
        {isCoordinator && !proposal.search.open && (
          <Button isPending={proposal.workOut.isPending} onPress={() => proposal.workOut.mutate()}>
            {t('shareOut.workOutAgain')}
          </Button>
        )}
        {isCoordinator && <Numbers shareOut={shareOut} />}
      </Row>
    </Card>
  );
}

const STAGES = [
  'share-out-first',
  'share-out-unallotted',
  'share-out-squaredDeviation',
  'share-out-refused',
  'share-out-outsideFairShare',
  'share-out-score',
  'share-out-keep',
] as const;

/** How far the search is and the best so far; it goes on when the page is left. */
function Progress({ proposal: { search } }: { proposal: Proposal }) {
  const t = useT();
  const formats = useFormats();
  if (!search.job) return null;
  return (
    <JobProgress
      job={search.job}
      stop={search.stop}
      words={{
        stage: (code) => {
          const known = STAGES.find((stage) => stage === code);
          return known ? t(`shareOut.job.${known}`) : null;
        },
        best: ({ furthest, left }) =>
          t('shareOut.job.best', {
            portions: formats.quantity(String(furthest ?? '0'), { least: 2, most: 2 }),
            left: formats.number(Number(left ?? 0)),
          }),
      }}
    />
  );
}

/** What has changed since the proposal is told with the remedy as its button. */
function ProposalProblem({ proposal: { workOut, confirm } }: { proposal: Proposal }) {
  const t = useT();
  if (isProblem(confirm.error, 'conflict')) {
    const again = () => {
      confirm.reset();
      workOut.mutate();
    };
    return (
      <ProblemBox
        appeared
        title={t('shareOut.changedSince')}
        action={<Button onPress={again}>{t('shareOut.workOutAgain')}</Button>}
      >
        <p>{t('shareOut.changedSinceWords')}</p>
      </ProblemBox>
    );
  }
  return (
    <>
      <Problem error={workOut.error} onRetry={() => workOut.mutate()} />
      <Problem error={confirm.error} />
    </>
  );
}

/** Confirming cannot be taken back, so a second step says what it brings about. */
function Confirm({ shareOut, proposal: { confirm } }: { shareOut: ShareOut; proposal: Proposal }) {
  const t = useT();
  const [isOpen, setOpen] = useState(false);
  const { shareOutId, version, roundNumber } = shareOut;
  if (shareOutId === null || version === null) return null;
  return (
    <>
      <Button kind="main" onPress={() => setOpen(true)}>
        {t('shareOut.confirm')}
      </Button>
      <Dialog title={t('shareOut.confirmAsk', { round: roundNumber })} isOpen={isOpen} onClose={() => setOpen(false)}>
        <p>{t('shareOut.confirmMeans', { n: shareOut.parts.length })}</p>
        <Row>
          <Button
            isPending={confirm.isPending}
            onPress={() => confirm.mutate({ shareOutId, version }, { onSettled: () => setOpen(false) })}
          >
            {t('shareOut.confirmDo', { round: roundNumber })}
          </Button>
          <Button kind="plain" onPress={() => setOpen(false)}>
            {t('shareOut.confirmNot')}
          </Button>
        </Row>
      </Dialog>
    </>
  );
}

/** The whole input and result as a file, for whoever wants to check it. */
export function Numbers({ shareOut }: { shareOut: ShareOut }) {
  const t = useT();
  const cooperativeId = useCooperativeId();
  return (
    <AddressButton
      kind="plain"
      href={`/api/cooperatives/${cooperativeId}/share-outs/${shareOut.shareOutId}/proof`}
      download={`share-out-${shareOut.roundNumber}.json`}
    >
      {t('shareOut.numbers')}
    </AddressButton>
  );
}
