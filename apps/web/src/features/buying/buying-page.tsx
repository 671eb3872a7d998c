import { useQuery } from '@tanstack/react-query';
import { getRouteApi, Link } from '@tanstack/react-router';
import { buyingQuery } from '../../lib/buying-query.ts';
import { useFoodWords } from '../../lib/food-words.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import type { Round } from '../../lib/round-stage.ts';
import { useCooperativeId, useSession } from '../../lib/session.tsx';
import { useIsWide } from '../../lib/use-is-wide.ts';
import { LinkButton } from '../../ui/button.tsx';
import { Card, Empty } from '../../ui/card.tsx';
import { List, ListRow } from '../../ui/list.tsx';
import { MoveRound } from '../../ui/move-round.tsx';
import { Columns, Stack } from '../../ui/page.tsx';
import { ProblemBox, ProblemPoint } from '../../ui/problem-box.tsx';
import { QueryView } from '../../ui/query-view.tsx';
import { RoundPage } from '../../ui/round-page.tsx';
import { StateMark } from '../../ui/state-mark.tsx';
import './buying.css';
import { useNotes } from './noted.ts';
import { Receipts } from './receipts.tsx';
import { SellerCard } from './seller-card.tsx';
import { isPaid, tillOf, type Buying, type Notes, type SellerList } from './shopping.ts';
import { SurplusNote } from './surplus-note.tsx';
import { TillCard, TillDock } from './till.tsx';

const route = getRouteApi('/member/rounds/$roundId/buy');

/** The shopping of a round: one list per seller to tick in the shop, and the receipts. */
export function BuyingPage() {
  const { roundId } = route.useParams();
  const cooperativeId = useCooperativeId();
  const buying = useQuery(buyingQuery(cooperativeId, roundId));
  const chosen = useChosenList(buying.data);
  const isWide = useIsWide();
  return (
    <RoundPage
      key={roundId}
      roundId={roundId}
      stage="buy"
      title={chosen?.seller.name}
      withoutStrip={!isWide}
      aside={(round) => <When round={round} list={chosen} />}
    >
      {(round) => <QueryView query={buying}>{(data) => <Lists round={round} buying={data} list={chosen} />}</QueryView>}
    </RoundPage>
  );
}

/** The list in the address, else the first that still has something to buy. */
function useChosenList(buying: Buying | undefined): SellerList | undefined {
  const { seller } = route.useSearch();
  const lists = buying?.lists ?? [];
  return (
    lists.find((list) => list.seller.id === seller) ??
    lists.find((list) => list.lines.some((line) => !line.bought)) ??
    lists[0]
  );
}

function When({ round, list }: { round: Round; list: SellerList | undefined }) {
  const t = useT();
  const formats = useFormats();
  const date = formats.day(round.buyOn, 'long');
  if (!list) return <>{date}</>;
  return (
    <>
      {t('buying.whenBought', {
        date,
        bought: list.lines.filter((line) => line.bought).length,
        count: list.lines.length,
      })}
    </>
  );
}

function Lists({ round, buying, list }: { round: Round; buying: Buying; list: SellerList | undefined }) {
  const isWide = useIsWide();
  const notes = useNotes(round.id);
  const others = buying.lists.filter((each) => each !== list);
  return (
    <>
      {isWide && buying.lists.length > 1 && (
        <SellerTabs round={round} lists={buying.lists} here={list} notes={notes.notes} />
      )}
      <Missing buying={buying} />
      <Columns form="wideFirst">
        {list ? (
          <SellerCard key={list.seller.id} round={round} list={list} notes={notes} tall={!isWide} />
        ) : (
          <NoList round={round} />
        )}
        <Stack gap="wide">
          {isWide && list && <TillCard round={round} list={list} notes={notes.notes} />}
          {list && <SurplusNote buying={buying} list={list} />}
          {!isWide && others.length > 0 && <OtherSellers round={round} lists={others} notes={notes.notes} />}
          <NextStep round={round} />
        </Stack>
      </Columns>
      <Receipts round={round} receipts={buying.receipts} />
      {!isWide && list && !isPaid(list) && <TillDock round={round} list={list} notes={notes.notes} />}
    </>
  );
}

function NoList({ round }: { round: Round }) {
  const t = useT();
  return (
    <Card title={t('buying.empty')}>
      <Empty
        action={
          <LinkButton to="/rounds/$roundId/plan" params={{ roundId: round.id }}>
            {t('buying.openPlan')}
          </LinkButton>
        }
      >
        {t('buying.emptyWords')}
      </Empty>
    </Card>
  );
}

/** What no seller has a price for. */
function Missing({ buying }: { buying: Buying }) {
  const t = useT();
  const { can } = useSession();
  if (buying.missing.length === 0) return null;
  return (
    <ProblemBox title={t('buying.noPrices', { n: buying.missing.length })}>
      <div>
        {buying.missing.map(({ ingredient, needed, unit }) => (
          <ProblemPoint
            key={ingredient.id}
            title={ingredient.name}
            action={
              can('coordinator', 'buyer') && (
                <LinkButton to="/offers" search={{ ingredient: ingredient.id }}>
                  {t('buying.addPrice')}
                </LinkButton>
              )
            }
          >
            <Needed quantity={needed} unit={unit} />
          </ProblemPoint>
        ))}
      </div>
    </ProblemBox>
  );
}

function Needed({ quantity, unit }: { quantity: string; unit: string }) {
  const t = useT();
  const food = useFoodWords();
  return <p>{t('buying.neededNoPrice', { amount: food.amount(quantity, unit) })}</p>;
}

function useStanding() {
  const t = useT();
  const formats = useFormats();
  return (list: SellerList, notes: Notes): string => {
    const till = tillOf(list, notes);
    const left = till.count - till.boughtCount;
    if (left > 0) return t('buying.linesLeft', { n: left });
    return t(isPaid(list) ? 'buying.paidAll' : 'buying.boughtAll', { amount: formats.money(till.expected.toString()) });
  };
}

/** On a laptop: the sellers side by side, the chosen one framed in accent. */
function SellerTabs(props: { round: Round; lists: readonly SellerList[]; here: SellerList | undefined; notes: Notes }) {
  const t = useT();
  const standing = useStanding();
  return (
    <nav aria-label={t('buying.sellers')}>
      <ul className="seller-tabs" role="list">
        {props.lists.map((list) => (
          <li key={list.seller.id}>
            <Link
              className="seller-tab"
              to="/rounds/$roundId/buy"
              params={{ roundId: props.round.id }}
              search={{ seller: list.seller.id }}
              aria-current={list === props.here ? 'page' : undefined}
            >
              <strong>{list.seller.name}</strong>
              <span className="small soft">{standing(list, props.notes)}</span>
            </Link>
          </li>
        ))}
      </ul>
    </nav>
  );
}

function OtherSellers({ round, lists, notes }: { round: Round; lists: readonly SellerList[]; notes: Notes }) {
  const t = useT();
  const standing = useStanding();
  return (
    <Card title={t('buying.otherSellers')}>
      <List>
        {lists.map((list) => {
          const done = list.lines.every((line) => line.bought);
          const words = standing(list, notes);
          return (
            <ListRow
              key={list.seller.id}
              title={
                <Link to="/rounds/$roundId/buy" params={{ roundId: round.id }} search={{ seller: list.seller.id }}>
                  {list.seller.name}
                </Link>
              }
              detail={done ? <StateMark state="done">{words}</StateMark> : words}
            />
          );
        })}
      </List>
    </Card>
  );
}

/** Sellers and prices, and the step to cooking. */
function NextStep({ round }: { round: Round }) {
  const t = useT();
  return (
    <Card title={t('buying.whenBoughtTitle')}>
      {round.stage === 'buying' && <p className="soft">{t('buying.whenBoughtWords')}</p>}
      {round.stage === 'planning' && <p className="soft">{t('buying.stillPlanning')}</p>}
      <div className="row">
        {round.stage === 'buying' && <MoveRound round={round} kind="normal" />}
        <LinkButton to="/offers" kind="plain">
          {t('buying.offersTitle')}
        </LinkButton>
      </div>
    </Card>
  );
}
