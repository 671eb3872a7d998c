import { useState } from 'react';
import { api, ok } from '../../lib/api/client.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import type { Round } from '../../lib/round-stage.ts';
import { useSession } from '../../lib/session.tsx';
import { Choices, DateField, TextField } from '../../ui/fields.tsx';
import { Fields, Form } from '../../ui/form.tsx';
import { DecimalField, MoneyField } from '../../ui/number-fields.tsx';
import { SubmitOrCancel } from '../../ui/submit-or-cancel.tsx';
import { say } from '../../ui/toast.tsx';
import type { Receipt } from './shopping.ts';

type Line = Receipt['lines'][number];
type Kind = 'adjustment' | 'refund';

/** Corrects a line of a receipt by a new line that names it: the right amount with the difference worked out, or the whole line given back. */
export function CorrectLine({ round, line, onDone }: { round: Round; line: Line; onDone: () => void }) {
  const t = useT();
  const formats = useFormats();
  const { cooperative, cooperativeId } = useSession();
  const [kind, setKind] = useState<Kind>('adjustment');
  const [amount, setAmount] = useState<string | null>(null);
  const [quantity, setQuantity] = useState<string | null>(null);
  const [on, setOn] = useState(cooperative.today);
  const [reason, setReason] = useState('');
  const correct = useWrite<Schemas['CorrectReceiptLine'], Receipt>({
    write: (body, headers) =>
      ok<Receipt>(
        api.POST('/api/cooperatives/{cooperativeId}/rounds/{roundId}/receipt-corrections', {
          params: { path: { cooperativeId, roundId: round.id } },
          body,
          headers,
        }),
      ),
    topics: ['buying', 'rounds', 'accounts'],
    onSuccess: () => {
      say(t('buying.corrected', { label: line.label }));
      onDone();
    },
  });
  const difference = amount === null ? null : BigInt(amount) - BigInt(line.amountMinor);
  const submit = () => {
    const shared = { lineId: line.id, on, reason };
    if (kind === 'refund') correct.mutate({ kind, ...shared });
    else if (difference !== null) {
      correct.mutate({ kind, ...shared, differenceMinor: difference.toString(), actualQuantity: quantity });
    }
  };
  return (
    <Form
      label={t('buying.correctLabel', { label: line.label })}
      onSubmit={submit}
      error={correct.error}
      acts={<SubmitOrCancel submit={t(`buying.correctBy.${kind}`)} isPending={correct.isPending} onCancel={onDone} />}
    >
      <Choices
        name="kind"
        label={t('buying.whatWasWrong')}
        value={kind}
        onChange={(value) => setKind(value as Kind)}
        options={(['adjustment', 'refund'] as const).map((value) => ({
          value,
          label: t(`buying.correctKind.${value}`),
        }))}
      />
      {kind === 'adjustment' && (
        <>
          <Fields two>
            <MoneyField
              name="differenceMinor"
              label={t('buying.rightAmount')}
              required
              value={amount}
              onChange={setAmount}
            />
            {line.unit !== null && (
              <DecimalField
                name="actualQuantity"
                label={t('buying.rightQuantity')}
                unit={line.unit}
                value={quantity}
                onChange={setQuantity}
              />
            )}
          </Fields>
          {difference !== null && difference !== 0n && (
            <p className="soft">
              {t(difference > 0n ? 'buying.differenceMore' : 'buying.differenceLess', {
                amount: formats.absoluteMoney(difference.toString()),
              })}
            </p>
          )}
        </>
      )}
      {kind === 'refund' && (
        <p className="soft">{t('buying.refundWords', { amount: formats.money(line.amountMinor) })}</p>
      )}
      <Fields two>
        <DateField name="on" label={t('buying.on')} required value={on} onChange={setOn} />
        <TextField
          name="reason"
          label={t('buying.reason')}
          required
          maxLength={120}
          value={reason}
          onChange={setReason}
        />
      </Fields>
    </Form>
  );
}
