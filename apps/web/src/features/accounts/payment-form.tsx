import { useEffect, useRef, useState } from 'react';
import { api, ok } from '../../lib/api/client.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useFormats } from '../../lib/formats.ts';
import { useKeptState } from '../../lib/kept-state.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { DateField, Select, TextField } from '../../ui/fields.tsx';
import { Fields, Form } from '../../ui/form.tsx';
import { MoneyField } from '../../ui/number-fields.tsx';
import { say } from '../../ui/toast.tsx';
import type { Accounts, PaymentDraft } from './account-queries.ts';

interface Typed {
  from: string;
  to: string;
  amountMinor: string | null;
  on: string;
  note: string;
}

const NIL = /^0*$/;

/** Records that one household paid another, begun from what is due. What is typed lasts until it is sent or left. */
export function PaymentForm(props: { draft: PaymentDraft; households: Accounts['households']; onDone: () => void }) {
  const { draft, households, onDone } = props;
  const t = useT();
  const { cooperative } = useSession();
  const box = useRef<HTMLDivElement>(null);
  const [typed, setTyped, forget] = useKeptState<Typed>(
    'payment',
    () => ({
      from: draft.from?.id ?? '',
      to: draft.to?.id ?? '',
      amountMinor: draft.amountMinor,
      on: cooperative.today,
      note: '',
    }),
    JSON.stringify(draft),
  );
  const record = useRecord(households, () => {
    forget();
    onDone();
  });
  const [checked, setChecked] = useState(false);
  const change = useChange(setTyped);
  useEffect(() => box.current?.querySelector('select')?.focus(), []);
  const wrong = {
    same: typed.from !== '' && typed.from === typed.to,
    nil: typed.amountMinor !== null && NIL.test(typed.amountMinor),
    future: typed.on > cooperative.today,
  };
  const submit = () => {
    setChecked(true);
    if (wrong.same || wrong.nil || wrong.future || typed.amountMinor === null) return;
    const { from, to, amountMinor, on, note } = typed;
    record.mutate({ fromHouseholdId: from, toHouseholdId: to, amountMinor, on, note });
  };
  const options = [
    { value: '', label: t('accounts.payment.choose') },
    ...households.map(({ household }) => ({ value: household.id, label: household.name })),
  ];
  return (
    <div ref={box} className="payment-form">
      <Form
        label={t('accounts.payment.title')}
        onSubmit={submit}
        error={record.error}
        acts={
          <>
            <Button kind="main" type="submit" isPending={record.isPending}>
              {t('accounts.record')}
            </Button>
            <Button
              kind="plain"
              onPress={() => {
                forget();
                onDone();
              }}
            >
              {t('common.cancel')}
            </Button>
          </>
        }
      >
        <Select
          name="fromHouseholdId"
          label={t('accounts.payment.from')}
          required
          options={options}
          value={typed.from}
          onChange={change.from}
        />
        <Select
          name="toHouseholdId"
          label={t('accounts.payment.to')}
          required
          options={options}
          value={typed.to}
          onChange={change.to}
          error={wrong.same ? t('accounts.payment.same') : undefined}
        />
        <Fields two>
          <MoneyField
            name="amountMinor"
            label={t('accounts.payment.amount')}
            required
            value={typed.amountMinor}
            onChange={(amountMinor) => setTyped((old) => ({ ...old, amountMinor }))}
            error={checked && wrong.nil ? t('accounts.payment.nil') : undefined}
          />
          <DateField
            name="on"
            label={t('accounts.payment.on')}
            required
            value={typed.on}
            onChange={(on) => setTyped((old) => ({ ...old, on }))}
            error={wrong.future ? t('accounts.payment.future') : undefined}
          />
        </Fields>
        <TextField
          name="note"
          label={t('accounts.payment.note')}
          hint={t('accounts.payment.noteHint')}
          maxLength={200}
          value={typed.note}
          onChange={(note) => setTyped((old) => ({ ...old, note }))}
        />
      </Form>
    </div>
  );
}

/** Only a coordinator records what two other households paid each other; for everybody else one side stays their own household. */
function useChange(setTyped: (change: (old: Typed) => Typed) => void) {
  const { can, householdId } = useSession();
  const mayAll = can('coordinator');
  return {
    from: (from: string) =>
      setTyped((old) => ({ ...old, from, to: !mayAll && from !== '' && from !== householdId ? householdId : old.to })),
    to: (to: string) =>
      setTyped((old) => ({ ...old, to, from: !mayAll && to !== '' && to !== householdId ? householdId : old.from })),
  };
}

function useRecord(households: Accounts['households'], onDone: () => void) {
  const t = useT();
  const formats = useFormats();
  const { cooperativeId } = useSession();
  const nameOf = (id: string) => households.find(({ household }) => household.id === id)?.household.name ?? '';
  return useWrite<Schemas['RecordPayment']>({
    write: (body, headers) =>
      ok(
        api.POST('/api/cooperatives/{cooperativeId}/payments', { params: { path: { cooperativeId } }, body, headers }),
      ),
    topics: ['accounts'],
    onSuccess: (_, { fromHouseholdId, toHouseholdId, amountMinor }) => {
      say(
        t('accounts.payment.recorded', {
          from: nameOf(fromHouseholdId),
          to: nameOf(toHouseholdId),
          amount: formats.money(amountMinor),
        }),
      );
      onDone();
    },
  });
}
