import { useQuery } from '@tanstack/react-query';
import { householdsQuery } from '../../lib/household-queries.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { LinkButton } from '../../ui/button.tsx';
import { Card } from '../../ui/card.tsx';
import { Columns, Page, Row, Stack } from '../../ui/page.tsx';
import { QueryView } from '../../ui/query-view.tsx';
import './cooperatives.css';
import { HouseholdsCard } from './households-card.tsx';
import { InviteCard } from './invite-card.tsx';
import { PoliciesForm } from './policies-form.tsx';
import { ScaleMeaning } from './scale-meaning.tsx';

/** Who cooks when is worked out and published on a page of its own. */
function RotaCard() {
  const t = useT();
  return (
    <Card title={t('coordinator.rota')}>
      <p>{t('coordinator.rotaWords')}</p>
      <Row>
        <LinkButton to="/rota">{t('coordinator.openRota')}</LinkButton>
      </Row>
    </Card>
  );
}

/** For those who coordinate: the households, invitations, and the rules of the cooperative. */
export function CoordinatorPage() {
  const t = useT();
  const { cooperative, cooperativeId, can } = useSession();
  const households = useQuery(householdsQuery(cooperativeId));
  return (
    <Page title={t('coordinator.title')} aside={cooperative.name}>
      {can('coordinator') ? (
        <QueryView query={households} lines={8}>
          {(all) => (
            <Columns form="wideFirst">
              <Stack gap="wide">
                <RotaCard />
                <HouseholdsCard households={all} />
                <InviteCard households={all.filter(({ leftOn }) => leftOn === null)} />
              </Stack>
              <PoliciesForm />
            </Columns>
          )}
        </QueryView>
      ) : (
        <>
          <p>{t('coordinator.onlyCoordinators')}</p>
          <Card title={t('coordinator.scale')}>
            <h3>{t(`coordinator.scale.${cooperative.weightScale}`)}</h3>
            <ScaleMeaning scale={cooperative.weightScale} />
          </Card>
        </>
      )}
    </Page>
  );
}
