import { getRouteApi } from '@tanstack/react-router';
import { useState } from 'react';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Button, LinkButton } from '../../ui/button.tsx';
import { Card, Note } from '../../ui/card.tsx';
import { focusLater } from '../../ui/focus-later.ts';
import { List, ListRow } from '../../ui/list.tsx';
import type { Accounts, PaymentDraft, PaymentDue } from './account-queries.ts';
import { PaymentForm } from './payment-form.tsx';

const route = getRouteApi('/member/accounts');

/** Who pays whom so that every balance becomes nil, our own first; each can be recorded once it is paid. */
export function PaymentsDueCard({ accounts }: { accounts: Accounts }) {
  const t = useT();
  const { can } = useSession();
  const { whole } = route.useSearch();
  const [draft, setDraft] = useState<PaymentDraft | null>(null);
  const payments = useOwnFirst(whole ? accounts.wholeUnitPayments : accounts.paymentsDue);
  const mayRecord = can('adult', 'buyer', 'coordinator');
  return (
    <Card title={t('accounts.due')} id="payments">
      {payments.length === 0 ? (
        <p>{t('accounts.noneDue')}</p>
      ) : (
        <List>
          {payments.map((payment) => (
            <DueRow key={`${payment.from.id} ${payment.to.id}`} payment={payment} onRecord={setDraft} />
          ))}
        </List>
      )}
      <Proof accounts={accounts} payments={payments} whole={whole === true} />
      {!mayRecord && <p className="soft">{t('accounts.payment.reader')}</p>}
      {mayRecord && draft && (
        <PaymentForm
          key={JSON.stringify(draft)}
          draft={draft}
          households={accounts.households}
          onDone={() => {
            setDraft(null);
            focusLater('#payments .button-main');
          }}
        />
      )}
      {mayRecord && !draft && <RecordButton payments={payments} onRecord={setDraft} />}
      <Note>
        <p>{t('accounts.neverErased')}</p>
      </Note>
    </Card>
  );
}

function useOwnFirst(payments: readonly PaymentDue[]): PaymentDue[] {
  const { householdId } = useSession();
  const isOurs = ({ from, to }: PaymentDue) => from.id === householdId || to.id === householdId;
  return [...payments.filter(isOurs), ...payments.filter((payment) => !isOurs(payment))];
}

function DueRow({ payment, onRecord }: { payment: PaymentDue; onRecord: (draft: PaymentDraft) => void }) {
  const t = useT();
  const formats = useFormats();
  const { can, householdId } = useSession();
  const { from, to, amountMinor } = payment;
  const amount = formats.money(amountMinor);
  const wePay = from.id === householdId;
  const wePaid = to.id === householdId;
  const words = wePay
    ? t('accounts.dueYouPay', { to: to.name, amount })
    : wePaid
      ? t('accounts.duePaysYou', { from: from.name, amount })
      : t('accounts.dueOthers', { from: from.name, to: to.name, amount });
  const mayRecord = can('coordinator') || ((wePay || wePaid) && can('adult', 'buyer'));
  const act = wePay ? t('accounts.paid') : wePaid ? t('accounts.arrived') : t('accounts.recordThis');
  return (
    <ListRow
      mine={wePay || wePaid}
      title={words}
      acts={mayRecord && <Button onPress={() => onRecord({ from, to, amountMinor })}>{act}</Button>}
    />
  );
}

function RecordButton(props: { payments: readonly PaymentDue[]; onRecord: (draft: PaymentDraft) => void }) {
  const t = useT();
  const { householdId, householdName } = useSession();
  const own = props.payments.find(({ from, to }) => from.id === householdId || to.id === householdId);
  const blank = { from: { id: householdId, name: householdName }, to: null, amountMinor: null };
  return (
    <Button kind="main" wide onPress={() => props.onRecord(own ?? blank)}>
      {t('accounts.record')}
    </Button>
  );
}

function Proof(props: { accounts: Accounts; payments: readonly PaymentDue[]; whole: boolean }) {
  const t = useT();
  const { locale } = useFormats();
  const { cooperative } = useSession();
  const n = props.payments.length;
  if (n === 0 && !props.whole) return null;
  if (props.whole) {
    return (
      <p className="small soft">{t('accounts.wholeOptimal', { n, currency: nameOf(cooperative.currency, locale) })}</p>
    );
  }
  return (
    <p className="small soft">
      {props.accounts.paymentsProof === 'optimal' ? t('accounts.optimal', { n }) : t('accounts.bounded', { n })}
    </p>
  );
}

/** The currency's name in the plural, "euros". */
function nameOf(currency: string, locale: string): string {
  const parts = new Intl.NumberFormat(locale, { style: 'currency', currency, currencyDisplay: 'name' }).formatToParts(
    10,
  );
  return parts.find(({ type }) => type === 'currency')?.value ?? currency;
}

/** The same payments rounded to whole units of the currency, with the rest carried; not for currencies that have no smaller unit. */
export function WholeUnitsCard({ accounts }: { accounts: Accounts }) {
  const t = useT();
  const { locale } = useFormats();
  const { cooperative } = useSession();
  const { whole } = route.useSearch();
  if (cooperative.currencyDigits === 0 || accounts.paymentsDue.length === 0) return null;
  return (
    <Card title={t('accounts.wholeTitle', { currency: nameOf(cooperative.currency, locale) })}>
      <p>{t('accounts.wholeWords')}</p>
      <LinkButton
        to="/accounts"
        search={(old: object) => ({ ...old, whole: whole ? undefined : true })}
        resetScroll={false}
      >
        {t(whole ? 'accounts.showExact' : 'accounts.showWhole')}
      </LinkButton>
    </Card>
  );
}
