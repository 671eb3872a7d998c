import { useQuery } from '@tanstack/react-query';
import { getRouteApi } from '@tanstack/react-router';
import { useFormats } from '../../lib/formats.ts';
import type { Household } from '../../lib/household-queries.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { LinkButton } from '../../ui/button.tsx';
import { Columns, Page, Row, Stack } from '../../ui/page.tsx';
import { QueryView } from '../../ui/query-view.tsx';
import './cooperatives.css';
import { CookingCard } from './cooking-card.tsx';
import { DinersCard } from './diners-card.tsx';
import { HouseholdCard } from './household-card.tsx';
import { householdQuery } from './household-query.ts';
import { KitchenCard } from './kitchen-card.tsx';
import { LeavingCard } from './leaving-card.tsx';
import { MembersCard } from './members-card.tsx';
import { WeightCard } from './weight-card.tsx';

const route = getRouteApi('/member/household');

/** Who eats in a household and what it counts for; one's own, or another by `?household=`. */
export function HouseholdPage() {
  const t = useT();
  const formats = useFormats();
  const { cooperativeId, householdId, householdName } = useSession();
  const { household: wanted = householdId } = route.useSearch();
  const household = useQuery(householdQuery(cooperativeId, wanted));
  const isOurs = wanted === householdId;
  const name = household.data?.name ?? householdName;
  return (
    <Page
      title={isOurs ? t('household.title') : t('household.titleOf', { household: name })}
      aside={
        household.data && t('household.aside', { household: name, weight: formats.quantity(household.data.weight) })
      }
    >
      <QueryView query={household} lines={8}>
        {(data) => <Parts key={data.id} household={data} isOurs={isOurs} />}
      </QueryView>
      {!isOurs && (
        <Row>
          <LinkButton to="/household">{t('household.backToOurs')}</LinkButton>
        </Row>
      )}
    </Page>
  );
}

function Parts({ household, isOurs }: { household: Household; isOurs: boolean }) {
  const { can } = useSession();
  const mayChange = can('coordinator') || (isOurs && can('adult', 'buyer'));
  return (
    <Columns form="wideFirst">
      <DinersCard household={household} mayChange={mayChange} />
      <Stack gap="wide">
        <WeightCard household={household} />
        <HouseholdCard household={household} mayChange={mayChange} />
        <KitchenCard householdId={household.id} mayChange={mayChange} />
        <CookingCard householdId={household.id} mayChange={mayChange} />
        <MembersCard household={household} />
        {can('coordinator') && <LeavingCard household={household} />}
      </Stack>
    </Columns>
  );
}
