import { useEffect, useState } from 'react';
import { formatTyped } from '../../lib/format/numbers.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { Button } from '../../ui/button.tsx';
import { Card } from '../../ui/card.tsx';
import { TextField } from '../../ui/fields.tsx';
import { Form } from '../../ui/form.tsx';
import { DecimalField } from '../../ui/number-fields.tsx';
import { Row } from '../../ui/page.tsx';
import { openSound, ring } from './ring.ts';
import { clockOf, partRun, secondsLeft, type Timer, type Timers } from './timers.ts';

const RING_EVERY_SECONDS = 5;
const LONGEST_MINUTES = 2880;

function useSecond(isOn: boolean): number {
  const [now, setNow] = useState(() => Date.now());
  useEffect(() => {
    if (!isOn) return;
    const timer = setInterval(() => setNow(Date.now()), 1000);
    return () => clearInterval(timer);
  }, [isOn]);
  return now;
}

/** Several timers at once; one that has run out rings until it is stopped. */
export function TimersCard({ timers: { timers, start, stop } }: { timers: Timers }) {
  const t = useT();
  const now = useSecond(timers.length > 0);
  const overdue = timers.filter((timer) => secondsLeft(timer, now) === 0);
  const isOverdue = overdue.length > 0;
  useEffect(() => {
    if (!isOverdue) return;
    ring();
    const again = setInterval(ring, RING_EVERY_SECONDS * 1000);
    return () => clearInterval(again);
  }, [isOverdue]);
  useEffect(() => {
    addEventListener('pointerdown', openSound, { once: true });
    return () => removeEventListener('pointerdown', openSound);
  }, []);
  return (
    <Card title={t('kitchen.timer.title')} framed={isOverdue}>
      {timers.length > 0 && (
        <ul className="list" role="list">
          {timers.map((timer) => (
            <TimerRow key={timer.id} timer={timer} now={now} onStop={() => stop(timer.id)} />
          ))}
        </ul>
      )}
      <div role="status" className="hidden">
        {overdue.map(({ id, name }) => (
          <p key={id}>{t('kitchen.timer.ranOut', { name })}</p>
        ))}
      </div>
      <StartTimer onStart={start} isFirst={timers.length === 0} />
    </Card>
  );
}

function TimerRow({ timer, now, onStop }: { timer: Timer; now: number; onStop: () => void }) {
  const t = useT();
  const formats = useFormats();
  const left = secondsLeft(timer, now);
  const clock = clockOf(left)
    .split(':')
    .map((part) => [...part].map((digit) => formatTyped(digit, formats.locale, { least: 0, most: 0 })).join(''))
    .join(':');
  return (
    <li className="list-row timer">
      <span className="timer-words">
        <bdi>{timer.name}</bdi>
        {left === 0 && (
          <strong className="small">
            {t('kitchen.timer.since', { time: formats.time(new Date(timer.until).toISOString()) })}
          </strong>
        )}
      </span>
      <strong className="timer-clock">{clock}</strong>
      <Button tall onPress={onStop} aria-label={t('kitchen.timer.stopNamed', { name: timer.name })}>
        {t('kitchen.timer.stop')}
      </Button>
      <span className="timer-bar" aria-hidden="true">
        <span style={{ inlineSize: `${partRun(timer, now) * 100}%` }} />
      </span>
    </li>
  );
}

function StartTimer({ onStart, isFirst }: { onStart: Timers['start']; isFirst: boolean }) {
  const t = useT();
  const [isOpen, setOpen] = useState(false);
  const [name, setName] = useState('');
  const [minutes, setMinutes] = useState<string | null>(null);
  if (!isOpen) {
    return (
      <Row>
        <Button tall onPress={() => setOpen(true)}>
          {t(isFirst ? 'kitchen.timer.start' : 'kitchen.timer.another')}
        </Button>
      </Row>
    );
  }
  const count = Number(minutes ?? '0');
  return (
    <Form
      label={t('kitchen.timer.start')}
      onSubmit={() => {
        if (count < 1 || count > LONGEST_MINUTES) return;
        onStart(name.trim() === '' ? t('kitchen.timer.unnamed') : name.trim(), count);
        setOpen(false);
        setName('');
        setMinutes(null);
      }}
      acts={
        <>
          <Button type="submit" tall isDisabled={count < 1}>
            {t('kitchen.timer.begin')}
          </Button>
          <Button tall kind="plain" onPress={() => setOpen(false)}>
            {t('common.cancel')}
          </Button>
        </>
      }
    >
      <TextField label={t('kitchen.timer.what')} tall maxLength={80} value={name} onChange={setName} />
      <DecimalField
        label={t('kitchen.timer.minutes')}
        decimals={0}
        tall
        required
        value={minutes}
        onChange={setMinutes}
        error={count > LONGEST_MINUTES ? t('kitchen.timer.tooLong') : undefined}
      />
    </Form>
  );
}
