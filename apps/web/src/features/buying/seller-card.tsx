import { getRouteApi } from '@tanstack/react-router';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import type { Round } from '../../lib/round-stage.ts';
import { useSession } from '../../lib/session.tsx';
import { LinkButton } from '../../ui/button.tsx';
import { Card } from '../../ui/card.tsx';
import { Tick } from '../../ui/fields.tsx';
import { Problem } from '../../ui/problem-box.tsx';
import { InHand } from './in-hand.tsx';
import type { NotesInHand } from './noted.ts';
import { costOf, isPaid, keyOf, lineInHand, tillOf, type Purchase, type SellerList } from './shopping.ts';
import { useTick, type Ticker } from './use-tick.ts';

const route = getRouteApi('/member/rounds/$roundId/buy');

interface SellerCardProps {
  round: Round;
  list: SellerList;
  notes: NotesInHand;
  /** 64 px rows, for the shop. */
  tall: boolean;
}

/** One seller's list: what is in hand, what is still to buy, what is bought. One tap ticks a line; undo takes it back. */
export function SellerCard({ round, list, notes, tall }: SellerCardProps) {
  const t = useT();
  const formats = useFormats();
  const { can } = useSession();
  const search = route.useSearch();
  const ticker = useTick(round.id);
  const mayTick = can('coordinator', 'buyer') && (round.stage === 'buying' || round.stage === 'cooking');
  const open = list.lines.filter((line) => !line.bought);
  const bought = list.lines.filter((line) => line.bought);
  const asked = open.find((line) => keyOf(line) === search.line);
  const inHand = mayTick ? (asked ?? lineInHand(list)) : undefined;
  const row = (line: Purchase) => (
    <LineRow key={keyOf(line)} line={line} notes={notes} ticker={ticker} round={round} mayTick={mayTick} tall={tall} />
  );
  return (
    <Card title={t('buying.stillToBuy')}>
      <Problem error={ticker.error} />
      {open.length === 0 && (
        <p>
          {t(isPaid(list) ? 'buying.allPaid' : 'buying.allBought', {
            amount: formats.money(tillOf(list, notes.notes).expected.toString()),
          })}
        </p>
      )}
      {inHand && <InHand key={keyOf(inHand)} line={inHand} notes={notes} ticker={ticker} />}
      {open.length > 0 && (
        <ul className="list" role="list">
          {open.filter((line) => line !== inHand).map(row)}
        </ul>
      )}
      {!can('coordinator', 'buyer') && open.length > 0 && <p className="soft">{t('buying.buyerTicks')}</p>}
      {bought.length > 0 && (
        <>
          <h3>{t('buying.bought')}</h3>
          <ul className="list" role="list">
            {bought.map(row)}
          </ul>
        </>
      )}
    </Card>
  );
}

interface LineRowProps {
  line: Purchase;
  notes: NotesInHand;
  ticker: Ticker;
  round: Round;
  mayTick: boolean;
  tall: boolean;
}

function LineRow({ line, notes, ticker, round, mayTick, tall }: LineRowProps) {
  const t = useT();
  const formats = useFormats();
  const cost = costOf(line, notes.notes);
  const words = (
    <span className="list-row-words">
      <span className="list-row-title">{line.ingredient.name}</span>
      <span className="list-row-detail">
        {t('buying.packs', { n: line.packs, label: line.label, price: formats.money(line.priceMinor) })}
      </span>
      <AgainstPlan cost={cost} line={line} />
    </span>
  );
  const mustWeigh = line.catchWeight && !line.bought;
  return (
    <li className="list-row shop-line">
      {mayTick && !mustWeigh ? (
        <Tick tall={tall} isSelected={line.bought} onChange={(ticked) => ticker.tick(line, ticked)}>
          {words}
        </Tick>
      ) : (
        words
      )}
      <div className="list-row-acts">
        <strong>{formats.money(cost.toString())}</strong>
        {mayTick && !line.bought && (
          <LinkButton
            kind="plain"
            to="/rounds/$roundId/buy"
            params={{ roundId: round.id }}
            search={(old) => ({ ...old, line: keyOf(line) })}
            replace
            aria-label={t(mustWeigh ? 'buying.weighNamed' : 'buying.otherPriceNamed', { label: line.label })}
          >
            {t(mustWeigh ? 'buying.weigh' : 'buying.otherPrice')}
          </LinkButton>
        )}
      </div>
    </li>
  );
}

/** "€0.30 over plan", only where there is a difference. */
function AgainstPlan({ cost, line }: { cost: bigint; line: Purchase }) {
  const t = useT();
  const formats = useFormats();
  const difference = cost - BigInt(line.plannedMinor);
  if (difference === 0n) return null;
  const amount = formats.absoluteMoney(difference.toString());
  return <strong>{t(difference > 0n ? 'buying.overPlan' : 'buying.underPlan', { amount })}</strong>;
}
