import type { CoolingResult } from '@frostmoot/calc';
import { useState } from 'react';
import { api, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Card } from '../../ui/card.tsx';
import { DataTable } from '../../ui/data-table.tsx';
import { Choices } from '../../ui/fields.tsx';
import { Form } from '../../ui/form.tsx';
import { DecimalField, ReadingField } from '../../ui/number-fields.tsx';
import { StateMark } from '../../ui/state-mark.tsx';
import { say } from '../../ui/toast.tsx';
import { CoolingCurve } from './cooling-curve.tsx';
import { curveOf, judgedNow, minutesBetween, type CoolingLog } from './cooling-now.ts';
import { useNow } from './use-now.ts';
import type { Batch } from './yield-draft.ts';

type Sent = Schemas['EnterReading'];

export const useDegrees = () => {
  const formats = useFormats();
  return (celsius: string): string => formats.unit(celsius, 'celsius', { least: 0, most: 1 });
};

/** The cooling log of a batch: how it stands, what to do next and by when, the curve, the readings, and one more. The rule and its source stand below it. */
export function CoolingCard({ batch }: { batch: Batch }) {
  const t = useT();
  const { can } = useSession();
  const now = useNow();
  const log = batch.cooling;
  const judged = log && judgedNow(log, now);
  return (
    <Card title={t('kitchen.log.title')} framed={judged?.verdict === 'due'}>
      {log && judged && <Standing judged={judged} now={now} />}
      {log && judged && <Readings log={log} judged={judged} now={now} />}
      {batch.state !== 'thrown-away' && judged?.verdict !== 'failed' && can('coordinator', 'buyer', 'adult') && (
        <ReadingForm key={log?.readings.length ?? 0} batch={batch} />
      )}
    </Card>
  );
}

function Standing({ judged, now }: { judged: CoolingResult; now: string }) {
  const t = useT();
  const formats = useFormats();
  const degrees = useDegrees();
  const { code, by } = judged.next;
  const due = judged.verdict === 'due' ? judged.stages.find(({ verdict }) => verdict === 'due') : undefined;
  const time = by === null ? '' : formats.time(by);
  const limit = degrees(due?.limitCelsius ?? judged.stages.at(-1)?.limitCelsius ?? '5');
  const isNow = by !== null && minutesBetween(now, by) < 1;
  return (
    <div className="stack" aria-live="polite">
      <p>
        <StateMark state={judged.verdict === 'failed' ? 'problem' : judged.verdict === 'due' ? 'waiting' : 'done'}>
          {t(`kitchen.log.verdict.${judged.verdict}`)}
        </StateMark>
      </p>
      {due && (
        <p>
          <strong>
            {t('kitchen.log.left', {
              time: formats.unit(String(Math.max(0, minutesBetween(now, due.by))), 'minute', { least: 0, most: 0 }),
              limit,
              by: formats.time(due.by),
            })}
          </strong>
        </p>
      )}
      {code === 'measure' && <p>{isNow ? t('kitchen.log.next.now') : t('kitchen.log.next.measure', { time })}</p>}
      {code === 'cool-faster' && <p>{t('kitchen.log.next.faster', { limit, time })}</p>}
      {code === 'keep-cold' && <p>{t('kitchen.log.next.keepCold', { limit })}</p>}
    </div>
  );
}

function Readings({ log, judged, now }: { log: CoolingLog; judged: CoolingResult; now: string }) {
  const t = useT();
  const formats = useFormats();
  const degrees = useDegrees();
  const limits = judged.stages.map(({ limitCelsius, by }) =>
    t('kitchen.log.limit', { limit: degrees(limitCelsius), time: formats.time(by) }),
  );
  return (
    <>
      <CoolingCurve
        curve={curveOf(log, judged, now)}
        label={t('kitchen.log.curve', { limits: formats.list(limits) })}
      />
      <p className="small soft">{t('kitchen.log.hatched', { limits: formats.list(limits) })}</p>
      <DataTable
        caption={t('kitchen.log.readings')}
        onPhone="table"
        rows={log.readings}
        rowKey={({ id }) => id}
        columns={[
          {
            key: 'time',
            head: t('kitchen.log.time'),
            rowHead: true,
            cell: ({ measuredAt }) => formats.time(measuredAt),
          },
          { key: 'core', head: t('kitchen.log.core'), number: true, cell: ({ celsius }) => degrees(celsius) },
          { key: 'by', head: t('kitchen.log.by'), cell: ({ household }) => household.name },
        ]}
      />
    </>
  );
}

function ReadingForm({ batch }: { batch: Batch }) {
  const t = useT();
  const { cooperativeId } = useSession();
  const [celsius, setCelsius] = useState<string | null>(null);
  const [ago, setAgo] = useState<string | null>('0');
  const [rule, setRule] = useState<Sent['rule']>('cooked');
  const log = batch.cooling;
  const enter = useWrite<Sent, Batch>({
    write: (body, headers) =>
      ok<Batch>(
        api.POST('/api/cooperatives/{cooperativeId}/batches/{batchId}/readings', {
          params: { path: { cooperativeId, batchId: batch.id } },
          body,
          headers,
        }),
      ),
    topics: ['kitchen'],
    onSuccess: () => say(t('kitchen.log.entered')),
  });
  const send = () => {
    const measuredAt = new Date();
    const startedAt = log?.startedAt ?? new Date(measuredAt.getTime() - Number(ago ?? '0') * 60_000).toISOString();
    enter.mutate({ rule: log?.rule ?? rule, startedAt, measuredAt: measuredAt.toISOString(), celsius: celsius ?? '' });
  };
  return (
    <Form
      label={t('kitchen.log.enter')}
      onSubmit={send}
      problem={enter.problem}
      error={enter.problem ? null : enter.error}
      acts={
        <Button type="submit" tall isDisabled={celsius === null || ago === null} isPending={enter.isPending}>
          {t('kitchen.log.enter')}
        </Button>
      }
    >
      {!log && (
        <>
          <Choices
            label={t('kitchen.log.rule')}
            name="rule"
            value={rule}
            onChange={(value) => setRule(value === 'cooked' ? 'cooked' : 'from-room-temperature')}
            options={[
              { value: 'cooked', label: t('kitchen.log.rule.cooked') },
              { value: 'from-room-temperature', label: t('kitchen.log.rule.room') },
            ]}
          />
          <DecimalField
            name="startedAt"
            label={t('kitchen.log.ago')}
            hint={t('kitchen.log.agoHint')}
            decimals={0}
            tall
            value={ago}
            onChange={setAgo}
          />
        </>
      )}
      <ReadingField name="celsius" label={t('kitchen.log.core')} tall value={celsius} onChange={setCelsius} />
    </Form>
  );
}
