import { useState } from 'react';
import { useT } from '../../lib/locale.tsx';
import { Button } from '../../ui/button.tsx';
import { Dialog } from '../../ui/dialog.tsx';
import { Choices, Select, TextField } from '../../ui/fields.tsx';
import { Form } from '../../ui/form.tsx';
import { SubmitOrCancel } from '../../ui/submit-or-cancel.tsx';
import type { CollectedContainer, Part } from './collection-query.ts';
import { useWriteOff, type LossCode } from './use-write-off.ts';

const CODES: readonly LossCode[] = ['damaged', 'thawed', 'not-found', 'other'];

interface BrokenProps {
  household: Part['household'];
  /** those that have not been collected */
  containers: readonly CollectedContainer[];
}

/** For coordinators: a container that broke or is missing before it was collected, after its consequence has been read. */
export function BrokenButton({ household, containers }: BrokenProps) {
  const t = useT();
  const [isOpen, setOpen] = useState(false);
  return (
    <>
      <Button
        kind="plain"
        aria-label={t('collection.brokenNamed', { household: household.name })}
        onPress={() => setOpen(true)}
      >
        {t('collection.broken')}
      </Button>
      <Dialog
        title={t('collection.broken.title', { household: household.name })}
        isOpen={isOpen}
        onClose={() => setOpen(false)}
      >
        <BrokenForm {...{ household, containers }} onDone={() => setOpen(false)} />
      </Dialog>
    </>
  );
}

function BrokenForm({ household, containers, onDone }: BrokenProps & { onDone: () => void }) {
  const t = useT();
  const writeOff = useWriteOff(onDone);
  const [id, setId] = useState(containers[0]?.id);
  const [reasonCode, setReasonCode] = useState<LossCode>('damaged');
  const [reason, setReason] = useState('');
  const container = containers.find((each) => each.id === id) ?? containers[0];
  if (!container) return null;
  const { portions } = container;
  return (
    <Form
      onSubmit={() => writeOff.mutate({ container, reasonCode, reason: reason.trim() })}
      error={writeOff.error}
      acts={
        <SubmitOrCancel
          submit={t('collection.broken.confirm', { portions })}
          isPending={writeOff.isPending}
          onCancel={onDone}
        />
      }
    >
      <Select
        label={t('collection.broken.which')}
        value={container.id}
        options={containers.map((each) => ({ value: each.id, label: `${each.dish} · ${each.code}` }))}
        onChange={setId}
      />
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
      <p>{t('collection.broken.words', { household: household.name, portions })}</p>
    </Form>
  );
}
