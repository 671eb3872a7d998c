import { useState } from 'react';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { Button } from '../../ui/button.tsx';
import { Card, Note } from '../../ui/card.tsx';
import { CheckIcon } from '../../ui/icons.tsx';
import { Row } from '../../ui/page.tsx';
import { PrintButton } from '../../ui/print-button.tsx';
import { areHandsOff, type Day, type RunStepNow } from './day-now.ts';
import { usePersonName } from './people.ts';
import type { RunSheet } from './run-sheet-query.ts';
import { useDuration } from './use-duration.ts';

const SHOWN_BEFORE = 3;
const SHOWN_IN_ALL = 10;

/** The run sheet as a list, from shortly before now; all of it on demand, and always on paper. */
export function RunList({ sheet, day, here }: { sheet: RunSheet; day: Day; here: string | undefined }) {
  const t = useT();
  const [isWhole, setWhole] = useState(false);
  const steps = [...day.steps].sort((a, b) => a.now.start - b.now.start);
  const done = steps.filter(areHandsOff).length;
  const at = Math.max(
    0,
    steps.findIndex((step) => !areHandsOff(step)),
  );
  const from = Math.min(Math.max(0, at - SHOWN_BEFORE), Math.max(0, steps.length - SHOWN_IN_ALL));
  const isShown = (index: number): boolean => isWhole || (index >= from && index < from + SHOWN_IN_ALL);
  const isLong = steps.length > SHOWN_IN_ALL;
  return (
    <Card title={t('kitchen.run.title')} aside={t('kitchen.doneOf', { done, count: steps.length })} id="run-sheet">
      <Leads sheet={sheet} day={day} />
      <ol className="list run-list" role="list">
        {steps.map((step, index) => (
          <RunRow
            key={step.key}
            sheet={sheet}
            day={day}
            step={step}
            isHere={step.key === here}
            isHidden={!isShown(index)}
          />
        ))}
      </ol>
      <Proof sheet={sheet} />
      <Row>
        {isLong && (
          <Button tall onPress={() => setWhole(!isWhole)}>
            {t(isWhole ? 'kitchen.run.showNext' : 'kitchen.run.showAll')}
          </Button>
        )}
        <PrintButton />
      </Row>
    </Card>
  );
}

interface RunRowProps {
  sheet: RunSheet;
  day: Day;
  step: RunStepNow;
  isHere: boolean;
  isHidden: boolean;
}

function RunRow({ sheet, day, step, isHere, isHidden }: RunRowProps) {
  const t = useT();
  const formats = useFormats();
  const personName = usePersonName(sheet);
  const classes = ['list-row run-row', isHere && 'kitchen-here', isHidden && 'only-print', areHandsOff(step) && 'soft'];
  const minutes = (count: number) => formats.unit(String(count), 'minute', { least: 0, most: 0 });
  const where = [
    step.passive > 0 && t('kitchen.onItsOwn', { time: minutes(step.passive) }),
    step.potLitres !== null &&
      t('kitchen.run.lane.potOf', { litres: formats.unit(step.potLitres, 'liter', { least: 0, most: 1 }) }),
    step.ovens.length > 0 &&
      t('kitchen.run.lane.oven', { number: formats.list(step.ovens.map((each) => formats.number(each))) }),
  ].filter((words) => words !== false);
  return (
    <li className={classes.filter(Boolean).join(' ')} aria-current={isHere ? 'step' : undefined}>
      <strong className="run-time">{formats.time(day.at(step.now.start))}</strong>
      <span className="list-row-words">
        <bdi>{step.words}</bdi>
        <span className="list-row-detail small">{[step.dish, ...where].join(' · ')}</span>
      </span>
      <span className="run-who">
        {areHandsOff(step) && (
          <>
            <CheckIcon />
            <span className="hidden">{t('common.state.done')}: </span>
          </>
        )}
        {step.people.map(personName).join(', ')}
      </span>
    </li>
  );
}

/** What begins before the day: thawing, counted back. */
function Leads({ sheet, day }: { sheet: RunSheet; day: Day }) {
  const t = useT();
  const formats = useFormats();
  const leads = sheet.sheet?.leads ?? [];
  if (leads.length === 0) return null;
  const names = new Map(sheet.makings.map(({ key, name }) => [key, name]));
  return (
    <div className="stack">
      <h3>{t('kitchen.run.leads')}</h3>
      <ul className="list" role="list">
        {leads.map((lead) => (
          <li key={lead.key} className="list-row">
            <strong>{formats.dayTime(day.at(lead.start))}</strong>
            <span>
              {t('kitchen.run.thaw', {
                amount: formats.unit(lead.kilograms, 'kilogram'),
                dish: names.get(lead.making) ?? '',
              })}
            </span>
          </li>
        ))}
      </ul>
      <Note>
        <p>{t('kitchen.run.thawSource')}</p>
      </Note>
    </div>
  );
}

function Proof({ sheet: { sheet } }: { sheet: RunSheet }) {
  const t = useT();
  const duration = useDuration();
  if (!sheet) return null;
  const all = duration(sheet.minutes);
  return (
    <p className="small soft">
      {sheet.proof === 'optimal'
        ? t('kitchen.run.proof.optimal', { all })
        : t('kitchen.run.proof.bounded', { all, least: duration(sheet.atLeast) })}
    </p>
  );
}
