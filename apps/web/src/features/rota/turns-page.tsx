import { useQuery } from '@tanstack/react-query';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { LinkButton } from '../../ui/button.tsx';
import { Card, Empty } from '../../ui/card.tsx';
import { DateTab } from '../../ui/date-tab.tsx';
import { List, ListRow } from '../../ui/list.tsx';
import { Columns, Page, Row, Stack } from '../../ui/page.tsx';
import { QueryView } from '../../ui/query-view.tsx';
import { AskSwap } from './ask-swap.tsx';
import './rota.css';
import { turnSwapsQuery, type TurnSwaps } from './rota-queries.ts';
import { EndedSwaps, WaitingSwaps } from './swaps-card.tsx';
import { TurnHistory } from './turn-history.tsx';
import { TurnActs } from './turn-acts.tsx';

/** My household's turns to come: swap one, or say that we cannot cook. */
export function TurnsPage() {
  const t = useT();
  const { cooperativeId, householdId, householdName } = useSession();
  const swaps = useQuery(turnSwapsQuery(cooperativeId, householdId));
  return (
    <Page title={t('rota.ourTurns')} aside={householdName}>
      <QueryView query={swaps} lines={6}>
        {(data) => (
          <Columns form="wideFirst">
            <Stack gap="wide">
              <WaitingSwaps swaps={data} />
              <OurTurns swaps={data} />
            </Stack>
            <EndedSwaps swaps={data.ended} />
          </Columns>
        )}
      </QueryView>
      <Row>
        <LinkButton to="/">{t('rota.toBoard')}</LinkButton>
      </Row>
    </Page>
  );
}

function OurTurns({ swaps }: { swaps: TurnSwaps }) {
  const t = useT();
  const formats = useFormats();
  const { can } = useSession();
  const mayAct = can('coordinator', 'buyer', 'adult');
  return (
    <Card title={t('rota.toCome')}>
      {swaps.mine.length === 0 ? (
        <Empty title={t('rota.noTurns')}>{t('rota.noTurnsWords')}</Empty>
      ) : (
        <List ordered>
          {swaps.mine.map((turn) => (
            <ListRow
              key={turn.id}
              lead={<DateTab date={turn.weekOf} withoutWeekday />}
              title={t('rota.weekOf', { date: formats.day(turn.weekOf, 'short') })}
              detail={t(`rota.state.${turn.state}`)}
              acts={
                mayAct && (
                  <>
                    <AskSwap turn={turn} mine={swaps.mine} others={swaps.others} />
                    <TurnActs turn={turn} />
                  </>
                )
              }
            >
              <TurnHistory turn={turn} />
            </ListRow>
          ))}
        </List>
      )}
    </Card>
  );
}
