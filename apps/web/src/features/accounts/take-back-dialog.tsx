import { useState } from 'react';
import { api, ok } from '../../lib/api/client.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useCooperativeId } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Dialog } from '../../ui/dialog.tsx';
import { TextField } from '../../ui/fields.tsx';
import { Form } from '../../ui/form.tsx';
import { say } from '../../ui/toast.tsx';
import type { StatementLine } from './account-queries.ts';

const LEAST_LETTERS = 3;

/** Takes a payment back by a new line that names it, with the reason that everybody can read. */
export function TakeBackDialog({ line, onClose }: { line: StatementLine; onClose: () => void }) {
  const t = useT();
  const formats = useFormats();
  const cooperativeId = useCooperativeId();
  const [reason, setReason] = useState('');
  const takeBack = useWrite({
    write: (body: { reason: string }, headers) =>
      ok(
        api.POST('/api/cooperatives/{cooperativeId}/entries/{entryId}/reversal', {
          params: { path: { cooperativeId, entryId: line.entryId } },
          body,
          headers,
        }),
      ),
    topics: ['accounts'],
    onSuccess: () => {
      say(t('accounts.takeBack.done'));
      onClose();
    },
  });
  const { from, to } = line.facts;
  return (
    <Dialog title={t('accounts.takeBack.title')} isOpen onClose={onClose}>
      <Form
        onSubmit={() => takeBack.mutate({ reason })}
        error={takeBack.error}
        acts={
          <>
            <Button type="submit" isPending={takeBack.isPending}>
              {t('accounts.takeBack')}
            </Button>
            <Button kind="plain" onPress={onClose}>
              {t('accounts.takeBack.keep')}
            </Button>
          </>
        }
      >
        <p>
          {t('accounts.takeBack.words', {
            from: String(from ?? ''),
            to: String(to ?? ''),
            amount: formats.absoluteMoney(line.amount),
          })}
        </p>
        <TextField
          name="reason"
          label={t('accounts.takeBack.reason')}
          hint={t('accounts.takeBack.reasonHint')}
          required
          minLength={LEAST_LETTERS}
          maxLength={200}
          value={reason}
          onChange={setReason}
        />
      </Form>
    </Dialog>
  );
}
