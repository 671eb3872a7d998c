import { useState } from 'react';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useIsWide } from '../../lib/use-is-wide.ts';
import { Button } from '../../ui/button.tsx';
import { Card } from '../../ui/card.tsx';
import { Row } from '../../ui/page.tsx';
import { hoursBetween, lanesOf, type Bar, type Lane } from './chart-lanes.ts';
import type { Day } from './day-now.ts';
import { usePersonName } from './people.ts';
import type { RunSheet } from './run-sheet-query.ts';

const PHONE_WINDOW = 150;
const PHONE_STEP = 90;
const PX_PER_MINUTE = 3.4;

/** What a lane is called: a person, a pot, an oven. */
function useLaneName(sheet: RunSheet) {
  const t = useT();
  const formats = useFormats();
  const personName = usePersonName(sheet);
  return ({ kind, number, litres }: Lane): string => {
    if (kind === 'person') return personName(number);
    if (kind === 'pot' && litres !== null) {
      return t('kitchen.run.lane.potOf', { litres: formats.unit(litres, 'liter', { least: 0, most: 1 }) });
    }
    return t(`kitchen.run.lane.${kind}`, { number: formats.number(number) });
  };
}

const pastOf = ({ step }: Bar): string =>
  step.now.state === 'done' ? ' chart-past' : step.now.state === 'waiting' ? '' : ' chart-here';

/** The day over time: across on a tablet or laptop, downwards on a phone. The list below it says the same in words. */
export function RunChart({ sheet, day }: { sheet: RunSheet; day: Day }) {
  const t = useT();
  const isWide = useIsWide();
  const lanes = lanesOf(day.steps, sheet.people.length);
  return (
    <Card title={t('kitchen.run.chart')}>
      {isWide ? <Across sheet={sheet} day={day} lanes={lanes} /> : <Down sheet={sheet} day={day} lanes={lanes} />}
      <ul className="chart-legend small" role="list">
        {(['hands', 'own', 'cooling'] as const).map((form) => (
          <li key={form}>
            <span className={`chart-key chart-${form}`} aria-hidden="true" />
            {t(`kitchen.run.form.${form}`)}
          </li>
        ))}
      </ul>
    </Card>
  );
}

interface ChartProps {
  sheet: RunSheet;
  day: Day;
  lanes: readonly Lane[];
}

/** Minutes from the start of the day to the first full hour on the clock. */
function firstHour({ startsAt }: RunSheet): number {
  const minutes = new Date(startsAt).getUTCMinutes();
  return minutes === 0 ? 0 : 60 - minutes;
}

function Across({ sheet, day, lanes }: ChartProps) {
  const t = useT();
  const formats = useFormats();
  const laneName = useLaneName(sheet);
  const until = Math.max(60, day.now.end);
  const place = (minute: number): string => `${(minute / until) * 100}%`;
  const isNow = !day.isOver && day.minute >= 0 && day.minute <= until;
  return (
    <div className="chart chart-across" role="img" aria-label={t('kitchen.run.chartLabel')}>
      <div className="chart-names" aria-hidden="true">
        {lanes.map((lane, index) => (
          <span key={index} className={lane.kind === 'person' ? 'chart-name chart-name-person' : 'chart-name'}>
            {laneName(lane)}
          </span>
        ))}
      </div>
      <div className="chart-field" aria-hidden="true">
        <div className="chart-hours small">
          {hoursBetween(0, until - 15, firstHour(sheet), until > 600 ? 120 : 60).map((minute) => (
            <span key={minute} className="chart-hour" style={{ insetInlineStart: place(minute) }}>
              {formats.time(day.at(minute))}
            </span>
          ))}
          {isNow && (
            <strong className="chart-now-word" style={{ insetInlineStart: place(day.minute) }}>
              {t('kitchen.run.now')}
            </strong>
          )}
        </div>
        {lanes.map((lane, index) => (
          <div key={index} className="chart-lane">
            {lane.bars.map((bar) => (
              <span
                key={`${bar.key} ${bar.form}`}
                dir="auto"
                className={`chart-bar chart-${bar.form}${pastOf(bar)}`}
                style={{ insetInlineStart: place(bar.from), inlineSize: place(bar.until - bar.from) }}
              >
                <bdi>{lane.kind === 'person' ? bar.step.words : bar.step.dish}</bdi>
              </span>
            ))}
          </div>
        ))}
        {isNow && <span className="chart-now" style={{ insetInlineStart: place(day.minute) }} />}
      </div>
    </div>
  );
}

/** A window of two and a half hours that begins shortly before now. */
function Down({ sheet, day, lanes }: ChartProps) {
  const t = useT();
  const formats = useFormats();
  const laneName = useLaneName(sheet);
  const last = Math.max(0, Math.ceil((day.now.end - PHONE_WINDOW) / 30) * 30);
  const here = Math.min(last, Math.max(0, Math.floor((day.isOver ? 0 : day.minute - 30) / 30) * 30));
  const [moved, setMoved] = useState(0);
  const from = Math.min(last, Math.max(0, here + moved));
  const until = from + PHONE_WINDOW;
  const top = (minute: number): string => `${(minute - from) * PX_PER_MINUTE}px`;
  const isNow = !day.isOver && day.minute >= from && day.minute <= until;
  const shown = lanes.filter(
    (lane) => lane.kind === 'person' || lane.bars.some((bar) => bar.until > from && bar.from < until),
  );
  const columns = shown
    .map(({ kind }) => (kind === 'person' ? 'minmax(3rem, 1fr)' : 'minmax(1.3rem, 0.3fr)'))
    .join(' ');
  return (
    <>
      <Row>
        <Button tall isDisabled={from === 0} onPress={() => setMoved(from - PHONE_STEP - here)}>
          {t('kitchen.run.earlier')}
        </Button>
        <Button tall isDisabled={from >= last} onPress={() => setMoved(from + PHONE_STEP - here)}>
          {t('kitchen.run.laterOn')}
        </Button>
      </Row>
      <div className="chart chart-down" role="img" aria-label={t('kitchen.run.chartLabel')}>
        <div aria-hidden="true" className="chart-down-heads" style={{ gridTemplateColumns: columns }}>
          {shown.map((lane, index) => (
            <span
              key={index}
              className={lane.kind === 'person' ? 'chart-name chart-name-person' : 'chart-name chart-upright'}
            >
              {laneName(lane)}
            </span>
          ))}
        </div>
        <div aria-hidden="true" className="chart-down-field" style={{ height: `${PHONE_WINDOW * PX_PER_MINUTE}px` }}>
          {hoursBetween(from, until, firstHour(sheet), 30).map((minute) => (
            <span key={minute} className="chart-hour small" style={{ top: top(minute) }}>
              {formats.time(day.at(minute))}
            </span>
          ))}
          <div className="chart-down-lanes" style={{ gridTemplateColumns: columns }}>
            {shown.map((lane, index) => (
              <div key={index} className="chart-lane">
                {lane.bars
                  .filter((bar) => bar.until > from && bar.from < until)
                  .map((bar) => {
                    const [begin, end] = [Math.max(from, bar.from), Math.min(until, bar.until)];
                    return (
                      <span
                        key={`${bar.key} ${bar.form}`}
                        dir="auto"
                        className={`chart-bar chart-${bar.form}${pastOf(bar)}${lane.kind === 'person' ? '' : ' chart-upright'}`}
                        style={{ top: top(begin), height: `${(end - begin) * PX_PER_MINUTE}px` }}
                      >
                        <bdi>{lane.kind === 'person' ? bar.step.words : bar.step.dish}</bdi>
                      </span>
                    );
                  })}
              </div>
            ))}
          </div>
          {isNow && <span className="chart-now" style={{ top: top(day.minute) }} />}
          {isNow && (
            <strong className="chart-now-word small" style={{ top: top(day.minute) }}>
              {formats.time(day.at(day.minute))}
            </strong>
          )}
        </div>
      </div>
    </>
  );
}
