import { useQueryClient } from '@tanstack/react-query';
import { useCallback, useState } from 'react';
import { api, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useCooperativeId, useSession } from '../../lib/session.tsx';
import { useJob, type Job } from '../../lib/use-job.ts';
import { Button } from '../../ui/button.tsx';
import { Card, Empty } from '../../ui/card.tsx';
import { JobProgress } from '../../ui/job-progress.tsx';
import { Row } from '../../ui/page.tsx';
import { Problem } from '../../ui/problem-box.tsx';
import { BatchStepper } from '../../ui/stepper.tsx';
import { StateMark } from '../../ui/state-mark.tsx';
import { say } from '../../ui/toast.tsx';
import { useDuration } from './use-duration.ts';
import { runSheetQuery, type RunSheet } from './run-sheet-query.ts';

/** Begins to work the run sheet out and takes it up when it is there, also when the page was left meanwhile. */
function useWorkOut(cookDayId: string) {
  const t = useT();
  const cooperativeId = useCooperativeId();
  const queryClient = useQueryClient();
  const onEnd = useCallback(
    ({ answer }: Job) => {
      // One that was stopped too late has its answer all the same.
      if (answer === null) return;
      void queryClient.invalidateQueries({ queryKey: runSheetQuery(cooperativeId, cookDayId).queryKey });
      say(t('kitchen.run.workedOut'));
    },
    [queryClient, cooperativeId, cookDayId, t],
  );
  const search = useJob('run-sheet', cookDayId, onEnd);
  const start = useWrite<Schemas['WorkOutRunSheet'], Job>({
    write: (body, headers) =>
      ok<Job>(
        api.POST('/api/cooperatives/{cooperativeId}/cook-days/{cookDayId}/run-sheet', {
          params: { path: { cooperativeId, cookDayId } },
          body,
          headers,
        }),
      ),
    topics: ['jobs'],
    onSuccess: (started) => void search.keep(started),
  });
  return { search, start };
}

const STAGES = ['run-sheet-search', 'run-sheet-again', 'run-sheet-prove', 'run-sheet-keep'] as const;

/** How far the search is; it goes on when the page is left; stopped it keeps the best day so far, and before there is one the sheet before. */
function Progress({ search }: { search: ReturnType<typeof useJob> }) {
  const t = useT();
  const duration = useDuration();
  if (!search.job) return null;
  return (
    <JobProgress
      job={search.job}
      stop={search.stop}
      words={{
        stage: (code) => {
          const known = STAGES.find((stage) => stage === code);
          return known ? t(`kitchen.run.job.${known}`) : null;
        },
        best: ({ minutes, atLeast }) =>
          t('kitchen.run.job.best', { minutes: duration(Number(minutes)), least: duration(Number(atLeast)) }),
      }}
    />
  );
}

/** Works the run sheet out, for so many people in this kitchen; says what the kitchen lacks and whether the sheet still holds. */
export function RunSheetCard({ sheet }: { sheet: RunSheet }) {
  const t = useT();
  const formats = useFormats();
  const { can } = useSession();
  const [people, setPeople] = useState(sheet.people.length);
  const work = useWorkOut(sheet.cookDayId);
  const isOld = sheet.sheet?.isCurrent === false;
  const { kitchen } = sheet;
  const litres = (value: string) => formats.unit(value, 'liter', { least: 0, most: 1 });
  const has = [
    t('kitchen.run.has.hobs', { n: kitchen.hobs }),
    t('kitchen.run.has.ovens', { n: kitchen.ovens }),
    ...(kitchen.potsLitres.length > 0
      ? [t('kitchen.run.has.pots', { list: formats.list(kitchen.potsLitres.map(litres)) })]
      : []),
  ];
  if (sheet.makings.length === 0) {
    return (
      <Card title={t('kitchen.run.title')}>
        <Empty title={t('kitchen.run.none')}>{t('kitchen.run.noneDishes')}</Empty>
      </Card>
    );
  }
  return (
    <Card
      title={t(isOld ? 'kitchen.run.stale' : sheet.sheet ? 'kitchen.run.setUp' : 'kitchen.run.none')}
      framed={isOld || !sheet.sheet}
    >
      <p className="soft">{t(isOld ? 'kitchen.run.staleWords' : 'kitchen.run.noneWords')}</p>
      <p>{t('kitchen.run.kitchenOf', { household: kitchen.household.name, has: formats.list(has) })}</p>
      {!kitchen.isSaid && <p className="small soft">{t('kitchen.run.notSaid')}</p>}
      <Lacks sheet={sheet} />
      {can('coordinator', 'buyer', 'adult') && (
        <>
          <div className="row row-apart">
            <span>{t('kitchen.run.people')}</span>
            <BatchStepper label={t('kitchen.run.people')} min={1} max={12} value={people} onChange={setPeople} />
          </div>
          <Problem error={work.start.error} />
          {!work.search.open && (
            <Row>
              <Button
                tall
                kind={sheet.sheet ? 'normal' : 'main'}
                isPending={work.start.isPending}
                onPress={() => work.start.mutate(people === sheet.people.length ? {} : { people })}
              >
                {t(sheet.sheet ? 'kitchen.run.workAgain' : 'kitchen.run.workOut')}
              </Button>
            </Row>
          )}
        </>
      )}
      <Progress search={work.search} />
    </Card>
  );
}

function Lacks({ sheet }: { sheet: RunSheet }) {
  const t = useT();
  const formats = useFormats();
  if (sheet.lacks.length === 0) return null;
  const names = new Map(sheet.makings.map(({ key, name }) => [key, name]));
  const amount = (code: RunSheet['lacks'][number]['code'], value: string): string =>
    code === 'pot-too-small' ? formats.unit(value, 'liter', { least: 0, most: 1 }) : formats.quantity(value);
  return (
    <ul className="list" role="list">
      {sheet.lacks.map(({ code, step, making, needed, there }) => (
        <li key={`${code} ${step}`} className="list-row">
          <StateMark state="problem">
            {t(`kitchen.run.lack.${code}`, {
              dish: names.get(making) ?? '',
              needed: amount(code, needed),
              there: amount(code, there),
            })}
          </StateMark>
        </li>
      ))}
    </ul>
  );
}
