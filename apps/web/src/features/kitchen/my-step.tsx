import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { Button } from '../../ui/button.tsx';
import { Dock, DockActs } from '../../ui/dock.tsx';
import { Select } from '../../ui/fields.tsx';
import { areHandsOff, myStep, stepsOfPerson, type Day, type RunStepNow } from './day-now.ts';
import { MakingAmounts } from './making-amounts.tsx';
import { usePersonName } from './people.ts';
import type { RunSheet } from './run-sheet-query.ts';

interface MyStepProps {
  sheet: RunSheet;
  day: Day;
  /** null: everybody's */
  person: number | null;
  onPerson: (person: number | null) => void;
}

/** My step in one sentence, until when, and what goes into it. */
export function MyStepCard({ sheet, day, person, onPerson }: MyStepProps) {
  const t = useT();
  const formats = useFormats();
  const personName = usePersonName(sheet);
  const mine = stepsOfPerson(day, person);
  const step = myStep(day, person);
  const making = sheet.makings.find(({ key }) => key === step?.making);
  const done = mine.filter(areHandsOff).length;
  return (
    <section className="card" aria-live="polite">
      {sheet.people.length > 1 && (
        <Select
          label={t('kitchen.run.iAm')}
          tall
          value={person === null ? '' : String(person)}
          onChange={(value) => onPerson(value === '' ? null : Number(value))}
          options={[
            ...sheet.people.map(({ number }) => ({ value: String(number), label: personName(number) })),
            { value: '', label: t('kitchen.run.everybody') },
          ]}
        />
      )}
      {step ? (
        <>
          <p className="row row-apart soft">
            <span>{whenWords(step, day, t, formats.time)}</span>
            <span>{t('kitchen.stepOf', { number: Math.min(done + 1, mine.length), count: mine.length })}</span>
          </p>
          <h2 className="kitchen-step">
            <bdi>{step.words}</bdi>
          </h2>
          <p className="soft">
            {[
              making?.lotCode ? t('kitchen.run.ofBatch', { dish: step.dish, lotCode: making.lotCode }) : step.dish,
              step.active > 0 &&
                t('kitchen.handsOn', { time: formats.unit(String(step.active), 'minute', { least: 0, most: 0 }) }),
              step.passive > 0 &&
                t('kitchen.onItsOwn', { time: formats.unit(String(step.passive), 'minute', { least: 0, most: 0 }) }),
            ]
              .filter(Boolean)
              .join(' · ')}
          </p>
          {making && <MakingAmounts key={making.key} making={making} />}
        </>
      ) : (
        <h2 className="kitchen-step">{t('kitchen.run.allDone')}</h2>
      )}
    </section>
  );
}

function whenWords(step: RunStepNow, day: Day, t: ReturnType<typeof useT>, time: (instant: string) => string): string {
  return step.now.state === 'waiting'
    ? t('kitchen.run.from', { time: time(day.at(step.now.start)) })
    : t('kitchen.run.until', { time: time(day.at(step.now.start + step.active)) });
}

interface StepDockProps {
  canGoBack: boolean;
  /** another act of the page is the main one just now */
  isSecond: boolean;
  onDone: () => void;
  onBack: () => void;
}

export function MyStepDock({ canGoBack, isSecond, onDone, onBack }: StepDockProps) {
  const t = useT();
  return (
    <Dock label={t('kitchen.myStep')}>
      <DockActs>
        <Button kind={isSecond ? 'normal' : 'main'} tall onPress={onDone}>
          {t('kitchen.doneNext')}
        </Button>
        <Button tall isDisabled={!canGoBack} onPress={onBack} aria-label={t('kitchen.oneBack')}>
          {t('kitchen.back')}
        </Button>
      </DockActs>
    </Dock>
  );
}
