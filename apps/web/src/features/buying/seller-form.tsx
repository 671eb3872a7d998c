import { useState } from 'react';
import { api, ok } from '../../lib/api/client.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useT } from '../../lib/locale.tsx';
import { useCooperativeId } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { TextField } from '../../ui/fields.tsx';
import { Form } from '../../ui/form.tsx';
import { MoneyField } from '../../ui/number-fields.tsx';
import { say } from '../../ui/toast.tsx';
import type { Seller } from './offer-queries.ts';

export function SellerForm({ onDone }: { onDone: () => void }) {
  const t = useT();
  const cooperativeId = useCooperativeId();
  const [name, setName] = useState('');
  const [fee, setFee] = useState<string | null>(null);
  const save = useWrite<Schemas['SaveSeller'], Seller>({
    write: (body, headers) =>
      ok<Seller>(
        api.POST('/api/cooperatives/{cooperativeId}/sellers', { params: { path: { cooperativeId } }, body, headers }),
      ),
    topics: ['buying'],
    onSuccess: (seller) => {
      say(t('buying.sellerKept', { seller: seller.name }));
      onDone();
    },
  });
  return (
    <Form
      label={t('buying.addSeller')}
      onSubmit={() => save.mutate({ name, feeMinor: fee ?? '0' })}
      problem={save.problem}
      error={save.problem ? null : save.error}
      acts={
        <>
          <Button type="submit" isPending={save.isPending}>
            {t('common.save')}
          </Button>
          <Button kind="plain" onPress={onDone}>
            {t('common.cancel')}
          </Button>
        </>
      }
    >
      <TextField name="name" label={t('buying.name')} required maxLength={120} value={name} onChange={setName} />
      <MoneyField name="feeMinor" label={t('buying.fee')} hint={t('buying.feeHint')} value={fee} onChange={setFee} />
    </Form>
  );
}
