import { useState } from 'react';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { Button } from '../../ui/button.tsx';
import { TextField } from '../../ui/fields.tsx';
import { Form } from '../../ui/form.tsx';
import { ReadingField } from '../../ui/number-fields.tsx';
import type { CoolingLog } from './cooling-now.ts';
import { useEnterReading } from './reading-form.tsx';
import type { Batch } from './yield-draft.ts';

interface CorrectReadingProps {
  batch: Batch;
  log: CoolingLog;
  reading: CoolingLog['readings'][number];
  onDone: () => void;
}

/** Puts another reading in the place of a mistyped one, with the reason; both stay in the log. */
export function CorrectReading({ batch, log, reading, onDone }: CorrectReadingProps) {
  const t = useT();
  const formats = useFormats();
  const [celsius, setCelsius] = useState<string | null>(null);
  const [reason, setReason] = useState('');
  const { enter, send } = useEnterReading(batch, t('kitchen.log.correctionEntered'), onDone);
  const { measuredAt, id } = reading;
  return (
    <Form
      label={t('kitchen.log.correct')}
      onSubmit={() =>
        send({ rule: log.rule, startedAt: log.startedAt, measuredAt, celsius: celsius ?? '', replaces: id, reason })
      }
      error={enter.error}
      acts={
        <>
          <Button type="submit" tall isDisabled={celsius === null || reason.trim() === ''} isPending={enter.isPending}>
            {t('kitchen.log.correct')}
          </Button>
          <Button tall kind="plain" onPress={onDone}>
            {t('common.cancel')}
          </Button>
        </>
      }
    >
      <ReadingField
        name="celsius"
        label={t('kitchen.log.coreAt', { time: formats.time(measuredAt) })}
        tall
        value={celsius}
        onChange={setCelsius}
      />
      <TextField
        name="reason"
        label={t('kitchen.why')}
        tall
        required
        maxLength={300}
        value={reason}
        onChange={setReason}
      />
    </Form>
  );
}
