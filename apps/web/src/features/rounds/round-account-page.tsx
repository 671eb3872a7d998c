import { useQuery } from '@tanstack/react-query';
import { getRouteApi } from '@tanstack/react-router';
import { buyingQuery } from '../../lib/buying-query.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { rational } from '@frostmoot/calc';
import type { Round } from '../../lib/round-stage.ts';
import { useSession } from '../../lib/session.tsx';
import { LinkButton } from '../../ui/button.tsx';
import { Card, Empty, Note } from '../../ui/card.tsx';
import { DataTable, type Column } from '../../ui/data-table.tsx';
import { Figures } from '../../ui/figures.tsx';
import { MoveRound } from '../../ui/move-round.tsx';
import { Row } from '../../ui/page.tsx';
import { QueryView } from '../../ui/query-view.tsx';
import { RoundPage } from '../../ui/round-page.tsx';
import { OpenPoints } from './open-points.tsx';
import { costsByHousehold, type HouseholdCost } from './round-costs.ts';

const route = getRouteApi('/member/rounds/$roundId/account');

/** What the round cost, what each household's part is, what is still open, and settling it. */
export function RoundAccountPage() {
  const { roundId } = route.useParams();
  return (
    <RoundPage roundId={roundId} stage="account">
      {(round) => <Account round={round} />}
    </RoundPage>
  );
}

function Account({ round }: { round: Round }) {
  const t = useT();
  const { cooperativeId } = useSession();
  const buying = useQuery(buyingQuery(cooperativeId, round.id));
  return (
    <>
      <RoundFigures round={round} />
      <OpenPoints round={round} />
      <Card title={t('round.costsTitle')}>
        <QueryView query={buying}>
          {({ receipts }) =>
            receipts.length === 0 ? (
              <Empty title={t('round.noReceipt')}>{t('round.noReceiptWords')}</Empty>
            ) : (
              <CostTable rows={costsByHousehold(receipts)} />
            )
          }
        </QueryView>
        <Row>
          <LinkButton to="/rounds/$roundId/buy" params={{ roundId: round.id }}>
            {t('round.openReceipts')}
          </LinkButton>
          <LinkButton to="/accounts">{t('round.openAccounts')}</LinkButton>
        </Row>
        <Note>
          <p>{t('round.costsNote')}</p>
        </Note>
      </Card>
      <Settle round={round} />
    </>
  );
}

function RoundFigures({ round }: { round: Round }) {
  const t = useT();
  const formats = useFormats();
  const portions = round.portionsMade ?? round.portionsPlanned;
  const spent = rational.rational(BigInt(round.spentMinor));
  const perPortion =
    portions > 0 ? rational.round(rational.div(spent, rational.rational(BigInt(portions)))).toString() : null;
  return (
    <Figures
      items={[
        { name: t('round.spent'), value: formats.money(round.spentMinor), note: t('round.spentNote') },
        {
          name: t('round.figure.portions'),
          value: formats.number(portions),
          note: t(round.portionsMade === null ? 'round.portionsPlanned' : 'round.portionsMade'),
        },
        {
          name: t('round.figure.portionCosts'),
          value: perPortion === null ? t('round.figure.notKnown') : formats.money(perPortion),
        },
        {
          name: t('round.figure.toFeed'),
          value: t('common.people', { n: round.headcount }),
          note: t('round.dinnersEach', { n: round.dinners }),
        },
      ]}
    />
  );
}

function CostTable({ rows }: { rows: readonly HouseholdCost[] }) {
  const t = useT();
  const formats = useFormats();
  const { householdId } = useSession();
  const sum = (of: (row: HouseholdCost) => bigint) =>
    formats.money(rows.reduce((total, row) => total + of(row), 0n).toString());
  const inWords = (difference: bigint): string => {
    if (difference === 0n) return t('common.nil');
    const amount = formats.absoluteMoney(difference.toString());
    return t(difference > 0n ? 'common.toReceive' : 'common.toPay', { amount });
  };
  const columns: Column<HouseholdCost>[] = [
    {
      key: 'household',
      head: t('round.household'),
      rowHead: true,
      cell: (row) => row.name,
      foot: t('round.allHouseholds'),
    },
    {
      key: 'share',
      head: t('round.itsPart'),
      number: true,
      phone: { word: t('round.itsPart') },
      cell: (row) => formats.money(row.share.toString()),
      foot: sum((row) => row.share),
    },
    {
      key: 'paid',
      head: t('round.itPaid'),
      number: true,
      phone: { word: t('round.itPaid') },
      cell: (row) => formats.money(row.paid.toString()),
      foot: sum((row) => row.paid),
    },
    {
      key: 'difference',
      head: t('round.thisRound'),
      number: true,
      phone: { word: t('round.thisRound') },
      cell: (row) => <strong>{inWords(row.difference)}</strong>,
      foot: inWords(rows.reduce((total, row) => total + row.difference, 0n)),
    },
  ];
  return (
    <DataTable
      caption={t('round.costsTitle')}
      columns={columns}
      rows={rows}
      rowKey={(row) => row.householdId}
      mine={(row) => row.householdId === householdId}
    />
  );
}

function Settle({ round }: { round: Round }) {
  const t = useT();
  const formats = useFormats();
  if (round.stage === 'settled') {
    return (
      <Card title={t('round.settledTitle')}>
        <p>
          {t('round.settledWords', {
            when: round.settledAt ? formats.dayTime(round.settledAt) : formats.day(round.settleOn),
          })}
        </p>
      </Card>
    );
  }
  if (round.stage !== 'sharing') {
    return (
      <Card title={t('round.settleTitle')}>
        <p className="soft">{t('round.settleLater')}</p>
      </Card>
    );
  }
  return (
    <Card title={t('round.settleTitle')}>
      <p className="soft measure">{t('round.moveMeans.settled')}</p>
      <MoveRound round={round} />
    </Card>
  );
}
