import { useState } from 'react';
import { api, ifMatch, ok } from '../../lib/api/client.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useT } from '../../lib/locale.tsx';
import { useCooperativeId } from '../../lib/session.tsx';
import { TextField } from '../../ui/fields.tsx';
import { Form } from '../../ui/form.tsx';
import { MoneyField } from '../../ui/number-fields.tsx';
import { SubmitOrCancel } from '../../ui/submit-or-cancel.tsx';
import { say } from '../../ui/toast.tsx';
import type { Seller } from './offer-queries.ts';

/** Who sells and what it asks beside its prices; of a seller that is there already what it asks from now on. */
export function SellerForm({ seller, onDone }: { seller?: Seller; onDone: () => void }) {
  const t = useT();
  const cooperativeId = useCooperativeId();
  const [name, setName] = useState(seller?.name ?? '');
  const [fee, setFee] = useState<string | null>(seller?.feeMinor ?? null);
  const [freeFrom, setFreeFrom] = useState<string | null>(seller?.freeFromMinor ?? null);
  const [minimum, setMinimum] = useState<string | null>(
    seller && seller.minimumMinor !== '0' ? seller.minimumMinor : null,
  );
  const save = useWrite<Schemas['SaveSeller'], Seller>({
    write: (body, headers) => {
      if (!seller) {
        const params = { path: { cooperativeId } };
        return ok<Seller>(api.POST('/api/cooperatives/{cooperativeId}/sellers', { params, body, headers }));
      }
      return ok<Seller>(
        api.PATCH('/api/cooperatives/{cooperativeId}/sellers/{sellerId}', {
          params: { path: { cooperativeId, sellerId: seller.id } },
          body,
          headers: { ...headers, ...ifMatch(seller.version) },
        }),
      );
    },
    topics: ['buying', 'rounds'],
    onSuccess: (kept) => {
      say(t('buying.sellerKept', { seller: kept.name }));
      onDone();
    },
  });
  const send = () => save.mutate({ name, feeMinor: fee ?? '0', freeFromMinor: freeFrom, minimumMinor: minimum ?? '0' });
  return (
    <Form
      label={seller ? t('buying.changeSeller', { seller: seller.name }) : t('buying.addSeller')}
      onSubmit={send}
      error={save.error}
      acts={<SubmitOrCancel submit={t('common.save')} isPending={save.isPending} onCancel={onDone} />}
    >
      <TextField name="name" label={t('buying.name')} required maxLength={120} value={name} onChange={setName} />
      <MoneyField name="feeMinor" label={t('buying.fee')} hint={t('buying.feeHint')} value={fee} onChange={setFee} />
      <MoneyField
        name="freeFromMinor"
        label={t('buying.freeFrom')}
        hint={t('buying.freeFromHint')}
        value={freeFrom}
        onChange={setFreeFrom}
      />
      <MoneyField
        name="minimumMinor"
        label={t('buying.minimum')}
        hint={t('buying.minimumHint')}
        value={minimum}
        onChange={setMinimum}
      />
    </Form>
  );
}
