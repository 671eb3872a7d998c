import type { CoolingResult } from '@frostmoot/calc';
import { useState } from 'react';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Card } from '../../ui/card.tsx';
import { DataTable } from '../../ui/data-table.tsx';
import { Row } from '../../ui/page.tsx';
import { StateMark } from '../../ui/state-mark.tsx';
import { CoolingCurve } from './cooling-curve.tsx';
import { counting, curveOf, judgedNow, minutesBetween, type CoolingLog } from './cooling-now.ts';
import { CorrectReading } from './correct-reading.tsx';
import { ReadingForm } from './reading-form.tsx';
import { useNow } from './use-now.ts';
import type { Batch } from './yield-draft.ts';

export const useDegrees = () => {
  const formats = useFormats();
  return (celsius: string): string => formats.unit(celsius, 'celsius', { least: 0, most: 1 });
};

/** The cooling log of a batch: how it stands, what to do next and by when, the curve, the readings, and one more. The rule and its source stand below it. */
export function CoolingCard({ batch, isShort }: { batch: Batch; isShort?: boolean }) {
  const t = useT();
  const { can } = useSession();
  const now = useNow();
  const log = batch.cooling;
  const judged = log && judgedNow(log, now);
  return (
    <Card
      title={isShort ? t('kitchen.log.titleOf', { dish: batch.name }) : t('kitchen.log.title')}
      aside={isShort && batch.lotCode}
      framed={!isShort && judged?.verdict === 'due'}
    >
      {log && judged && <Standing judged={judged} now={now} />}
      {log && judged && (
        <Readings
          batch={batch}
          log={log}
          judged={judged}
          now={now}
          mayCorrect={!isShort && can('coordinator', 'buyer', 'adult')}
        />
      )}
      {!isShort &&
        batch.state !== 'thrown-away' &&
        judged?.verdict !== 'failed' &&
        can('coordinator', 'buyer', 'adult') && <ReadingForm key={log?.readings.length ?? 0} batch={batch} />}
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

interface ReadingsProps {
  batch: Batch;
  log: CoolingLog;
  judged: CoolingResult;
  now: string;
  mayCorrect: boolean;
}

function Readings({ batch, log, judged, now, mayCorrect }: ReadingsProps) {
  const t = useT();
  const [correcting, setCorrecting] = useState<string | null>(null);
  const reading = log.readings.find(({ id }) => id === correcting);
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
          {
            key: 'core',
            head: t('kitchen.log.core'),
            number: true,
            cell: ({ celsius, replacedBy }) => (replacedBy === null ? degrees(celsius) : <s>{degrees(celsius)}</s>),
          },
          {
            key: 'by',
            head: t('kitchen.log.by'),
            cell: ({ household, replacedBy, replaces, reason }) => (
              <>
                {household.name}
                {replacedBy !== null && <span className="small soft"> {t('kitchen.log.corrected')}</span>}
                {replaces !== null && <span className="small soft"> {t('kitchen.log.because', { reason })}</span>}
              </>
            ),
          },
        ]}
      />
      {mayCorrect && reading === undefined && (
        <details>
          <summary>{t('kitchen.log.mistyped')}</summary>
          <Row>
            {counting(log).map(({ id, measuredAt, celsius }) => (
              <Button key={id} tall onPress={() => setCorrecting(id)}>
                {t('kitchen.log.correctNamed', { core: degrees(celsius), time: formats.time(measuredAt) })}
              </Button>
            ))}
          </Row>
        </details>
      )}
      {reading && <CorrectReading batch={batch} log={log} reading={reading} onDone={() => setCorrecting(null)} />}
    </>
  );
}
