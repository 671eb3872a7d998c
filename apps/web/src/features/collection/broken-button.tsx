import { useState } from 'react';
import { useT } from '../../lib/locale.tsx';
import { Button } from '../../ui/button.tsx';
import { Dialog } from '../../ui/dialog.tsx';
import { Choices, TextField } from '../../ui/fields.tsx';
import { Form } from '../../ui/form.tsx';
import type { CollectedContainer, Part } from './collection-query.ts';
import { useWriteOff, type LossCode } from './use-write-off.ts';

const CODES: readonly LossCode[] = ['damaged', 'thawed', 'not-found', 'other'];

/** For coordinators: a container that broke or is missing before it was collected, after its consequence has been read. */
export function BrokenButton({
  container,
  household,
}: {
  container: CollectedContainer;
  household: Part['household'];
}) {
  const t = useT();
  const [isOpen, setOpen] = useState(false);
  const { code, dish } = container;
  return (
    <>
      <Button kind="plain" aria-label={t('collection.brokenNamed', { dish, code })} onPress={() => setOpen(true)}>
        {t('collection.broken')}
      </Button>
      <Dialog title={t('collection.broken.title', { dish, code })} isOpen={isOpen} onClose={() => setOpen(false)}>
        <BrokenForm {...{ container, household }} onDone={() => setOpen(false)} />
      </Dialog>
    </>
  );
}

function BrokenForm(props: { container: CollectedContainer; household: Part['household']; onDone: () => void }) {
  const { container, household, onDone } = props;
  const t = useT();
  const writeOff = useWriteOff(onDone);
  const [reasonCode, setReasonCode] = useState<LossCode>('damaged');
  const [reason, setReason] = useState('');
  const { portions } = container;
  return (
    <Form
      onSubmit={() => writeOff.mutate({ container, reasonCode, reason: reason.trim() })}
      problem={writeOff.problem}
      error={writeOff.problem ? null : writeOff.error}
      acts={
        <>
          <Button type="submit" isPending={writeOff.isPending}>
            {t('collection.broken.confirm', { portions })}
          </Button>
          <Button kind="plain" onPress={onDone}>
            {t('common.cancel')}
          </Button>
        </>
      }
    >
      <p>{t('collection.broken.words', { household: household.name, portions })}</p>
      <Choices
        label={t('collection.broken.why')}
        name="reasonCode"
        value={reasonCode}
        options={CODES.map((value) => ({ value, label: t(`collection.broken.${value}`) }))}
        onChange={(value) => setReasonCode(value as LossCode)}
      />
      <TextField
        name="reason"
        label={t('collection.broken.reason')}
        hint={t('collection.broken.reasonHint')}
        required={reasonCode === 'other'}
        maxLength={200}
        value={reason}
        onChange={setReason}
      />
    </Form>
  );
}
