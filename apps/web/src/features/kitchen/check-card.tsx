import { useState } from 'react';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Row } from '../../ui/page.tsx';
import { StateMark } from '../../ui/state-mark.tsx';
import type { Check } from './checks.ts';
import { counting, minutesBetween } from './cooling-now.ts';
import { useDegrees } from './cooling-card.tsx';
import { ReadingForm } from './reading-form.tsx';

/** The next core temperature to take, by when, and the last one; its button is the page's main one once it is due. */
export function CheckCard({ check, now }: { check: Check; now: string }) {
  const t = useT();
  const formats = useFormats();
  const degrees = useDegrees();
  const { can } = useSession();
  const [isOpen, setOpen] = useState(false);
  const { batch, judged, by, isDue } = check;
  const last = batch.cooling ? counting(batch.cooling).at(-1) : undefined;
  const due = judged?.stages.find(({ verdict }) => verdict === 'due');
  return (
    <section className="card card-framed" role={isDue ? 'alert' : undefined}>
      <h2>
        <StateMark state="waiting">
          {by === null || isDue
            ? t('kitchen.check.now', { dish: batch.name, lotCode: batch.lotCode })
            : t('kitchen.check.by', { dish: batch.name, lotCode: batch.lotCode, time: formats.time(by) })}
        </StateMark>
      </h2>
      <p>
        {[
          by !== null && !isDue && t('kitchen.check.in', { n: Math.max(0, minutesBetween(now, by)) }),
          last && t('kitchen.check.last', { core: degrees(last.celsius), time: formats.time(last.measuredAt) }),
          due && t('kitchen.log.limit', { limit: degrees(due.limitCelsius), time: formats.time(due.by) }),
        ]
          .filter(Boolean)
          .join(' ')}
      </p>
      {judged?.next.code === 'cool-faster' && due && (
        <p>{t('kitchen.log.next.faster', { limit: degrees(due.limitCelsius), time: formats.time(due.by) })}</p>
      )}
      {can('coordinator', 'buyer', 'adult') &&
        (isOpen ? (
          <ReadingForm
            key={batch.cooling?.readings.length ?? 0}
            batch={batch}
            isMain={isDue}
            onEntered={() => setOpen(false)}
          />
        ) : (
          <Row>
            <Button tall kind={isDue ? 'main' : 'normal'} onPress={() => setOpen(true)}>
              {t('kitchen.log.enter')}
            </Button>
          </Row>
        ))}
    </section>
  );
}
