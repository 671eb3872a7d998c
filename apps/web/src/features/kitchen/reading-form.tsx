import { useRef, useState } from 'react';
import { api, isProblem, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { keepWaiting } from '../../lib/waiting.ts';
import { Button } from '../../ui/button.tsx';
import { Choices } from '../../ui/fields.tsx';
import { Form } from '../../ui/form.tsx';
import { DecimalField, ReadingField } from '../../ui/number-fields.tsx';
import { say } from '../../ui/toast.tsx';
import type { Batch } from './yield-draft.ts';

type Sent = Schemas['EnterReading'];

/** Sends a reading; without a connection it waits on this device with the time at which it was measured. */
export function useEnterReading(batch: Batch, words: string, onEntered?: () => void) {
  const { cooperativeId, me } = useSession();
  const key = useRef('');
  const enter = useWrite<Sent, Batch>({
    write: (body, headers) => {
      key.current = headers['Idempotency-Key'];
      return ok<Batch>(
        api.POST('/api/cooperatives/{cooperativeId}/batches/{batchId}/readings', {
          params: { path: { cooperativeId, batchId: batch.id } },
          body,
          headers,
        }),
      );
    },
    topics: ['kitchen'],
    onSuccess: () => {
      say(words);
      onEntered?.();
    },
  });
  const keep = (body: Sent) => {
    keepWaiting({ personId: me.personId, cooperativeId, kind: 'reading', target: batch.id, body, key: key.current });
    enter.reset();
    onEntered?.();
  };
  const send = (body: Sent) =>
    enter.mutate(body, { onError: (error) => isProblem(error, 'unreachable') && keep(body) });
  return { enter, send };
}

interface ReadingFormProps {
  batch: Batch;
  /** its button is the page's main one */
  isMain?: boolean;
  onEntered?: () => void;
}

/** One more reading. */
export function ReadingForm({ batch, isMain, onEntered }: ReadingFormProps) {
  const t = useT();
  const [celsius, setCelsius] = useState<string | null>(null);
  const [ago, setAgo] = useState<string | null>('0');
  const [rule, setRule] = useState<Sent['rule']>('cooked');
  const log = batch.cooling;
  const { enter, send: sendReading } = useEnterReading(batch, t('kitchen.log.entered'), onEntered);
  const send = () => {
    const measuredAt = new Date();
    const startedAt = log?.startedAt ?? new Date(measuredAt.getTime() - Number(ago ?? '0') * 60_000).toISOString();
    const body = {
      rule: log?.rule ?? rule,
      startedAt,
      measuredAt: measuredAt.toISOString(),
      celsius: celsius ?? '',
      replaces: null,
      reason: '',
    };
    sendReading(body);
  };
  return (
    <Form
      label={t('kitchen.log.enter')}
      onSubmit={send}
      error={enter.error}
      acts={
        <Button
          type="submit"
          tall
          kind={isMain ? 'main' : 'normal'}
          isDisabled={celsius === null || ago === null}
          isPending={enter.isPending}
        >
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
