import { useQuery } from '@tanstack/react-query';
import { getRouteApi } from '@tanstack/react-router';
import { buyingQuery } from '../../lib/buying-query.ts';
import { householdsQuery } from '../../lib/household-queries.ts';
import { useT } from '../../lib/locale.tsx';
import type { Round } from '../../lib/round-stage.ts';
import { useSession } from '../../lib/session.tsx';
import { LinkButton } from '../../ui/button.tsx';
import { Card } from '../../ui/card.tsx';
import { QueryView } from '../../ui/query-view.tsx';
import { RoundPage } from '../../ui/round-page.tsx';
import './buying.css';
import { sellersQuery } from './offer-queries.ts';
import { ReceiptForm } from './receipt-form.tsx';
import { mayEnterReceipt } from './receipt-stages.ts';

const route = getRouteApi('/member/rounds/$roundId/buy/receipt');

/** What was really paid at one seller, line by line, begun from what was planned and noted in the shop. */
export function ReceiptPage() {
  const t = useT();
  const { roundId } = route.useParams();
  return (
    <RoundPage roundId={roundId} stage="buy" title={t('buying.receiptTitle')} withoutStrip>
      {(round) => <Receipt round={round} />}
    </RoundPage>
  );
}

function Receipt({ round }: { round: Round }) {
  const t = useT();
  const { can, cooperativeId } = useSession();
  const { seller } = route.useSearch();
  const buying = useQuery(buyingQuery(cooperativeId, round.id));
  const sellers = useQuery(sellersQuery(cooperativeId));
  const households = useQuery(householdsQuery(cooperativeId));
  const back = (
    <LinkButton to="/rounds/$roundId/buy" params={{ roundId: round.id }}>
      {t('buying.backToLists')}
    </LinkButton>
  );
  if (!mayEnterReceipt(round.stage) || !can('coordinator', 'buyer', 'adult')) {
    return (
      <Card>
        <p>
          {t(
            round.stage === 'planning'
              ? 'buying.receiptTooEarly'
              : round.stage === 'settled'
                ? 'buying.receiptTooLate'
                : 'buying.receiptNotYou',
          )}
        </p>
        <div className="row">{back}</div>
      </Card>
    );
  }
  return (
    <QueryView query={buying} lines={8}>
      {(data) => (
        <QueryView query={sellers}>
          {(all) => (
            <QueryView query={households}>
              {(members) => (
                <ReceiptForm
                  key={seller ?? ''}
                  round={round}
                  buying={data}
                  sellers={all}
                  households={members}
                  sellerId={seller ?? data.lists[0]?.seller.id ?? all[0]?.id ?? ''}
                />
              )}
            </QueryView>
          )}
        </QueryView>
      )}
    </QueryView>
  );
}
