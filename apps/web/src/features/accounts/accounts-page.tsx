import { useQuery } from '@tanstack/react-query';
import { getRouteApi } from '@tanstack/react-router';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Columns, Page, Stack } from '../../ui/page.tsx';
import { QueryView } from '../../ui/query-view.tsx';
import { accountsQuery } from './account-queries.ts';
import './accounts.css';
import { EverybodyCard } from './everybody-card.tsx';
import { OwnBalances } from './own-balances.tsx';
import { PaymentsDueCard, WholeUnitsCard } from './payments-due-card.tsx';
import { PortionRoundsCard } from './portion-rounds-card.tsx';
import { StatementCard } from './statement-card.tsx';

const route = getRouteApi('/member/accounts');

/** What my household is owed and why, line by line; what is to be paid; everybody's balances. */
export function AccountsPage() {
  const t = useT();
  const formats = useFormats();
  const { cooperative, cooperativeId, householdId, householdName } = useSession();
  const { book = 'money', household = householdId } = route.useSearch();
  const accounts = useQuery(accountsQuery(cooperativeId));
  const date = formats.day(cooperative.today, 'long');
  return (
    <Page title={t('accounts.title')} aside={t('accounts.of', { household: householdName, date })}>
      <QueryView query={accounts} lines={8}>
        {(data) => {
          const of = data.households.find((row) => row.household.id === household)?.household;
          const shown = of ?? { id: householdId, name: householdName };
          return (
            <>
              <OwnBalances accounts={data} />
              <Columns form="wideFirst">
                <Stack gap="wide">
                  {book === 'portions' && <PortionRoundsCard of={shown} />}
                  <StatementCard of={shown} book={book} />
                </Stack>
                <div className="no-print">
                  <Stack gap="wide">
                    <PaymentsDueCard accounts={data} />
                    <WholeUnitsCard accounts={data} />
                  </Stack>
                </div>
              </Columns>
              <div className="everybody no-print">
                <EverybodyCard accounts={data} />
              </div>
            </>
          );
        }}
      </QueryView>
    </Page>
  );
}
