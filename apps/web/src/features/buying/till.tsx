import { useFormats } from '../../lib/formats.ts';
import { T, useT } from '../../lib/locale.tsx';
import type { Round } from '../../lib/round-stage.ts';
import { LinkButton } from '../../ui/button.tsx';
import { TotalBar } from '../../ui/bars.tsx';
import { Dock, DockActs } from '../../ui/dock.tsx';
import { PrintButton } from '../../ui/print-button.tsx';
import { mayEnterReceipt } from './receipt-stages.ts';
import { tillOf, type Notes, type SellerList } from './shopping.ts';

interface TillProps {
  round: Round;
  list: SellerList;
  notes: Notes;
}

/** Money so far: full is what is ticked, hatched what is expected, the line is the plan. */
function Total({ list, notes }: TillProps) {
  const t = useT();
  const formats = useFormats();
  const till = tillOf(list, notes);
  const difference = till.expected - till.planned;
  const money = (minor: bigint) => formats.money(minor.toString());
  const aside =
    difference === 0n
      ? t('buying.asPlanned')
      : t(difference > 0n ? 'buying.overPlan' : 'buying.underPlan', {
          amount: formats.absoluteMoney(difference.toString()),
        });
  const most = till.expected > till.planned ? till.expected : till.planned;
  return (
    <TotalBar
      value={
        <T
          k="buying.soFar"
          values={{ amount: money(till.spent), small: (words) => <span className="small soft">{words}</span> }}
        />
      }
      aside={aside}
      full={Number(till.spent)}
      hatched={Number(till.expected - till.spent)}
      most={Number(most)}
      line={Number(till.planned)}
    >
      <T k="buying.expected" values={{ expected: money(till.expected), planned: money(till.planned) }} />
    </TotalBar>
  );
}

function EnterReceipt({ round, list, tall }: { round: Round; list: SellerList; tall?: boolean }) {
  const t = useT();
  if (!mayEnterReceipt(round.stage)) return null;
  return (
    <LinkButton
      to="/rounds/$roundId/buy/receipt"
      params={{ roundId: round.id }}
      search={{ seller: list.seller.id }}
      tall={tall}
    >
      {t('buying.enterReceipt')}
    </LinkButton>
  );
}

export function TillCard(props: TillProps) {
  return (
    <section className="card">
      <Total {...props} />
      <div className="row">
        <EnterReceipt {...props} />
        <PrintButton />
      </div>
    </section>
  );
}

export function TillDock(props: TillProps) {
  const t = useT();
  return (
    <Dock label={t('buying.total')}>
      <div className="stack stack-tight">
        <Total {...props} />
        <DockActs>
          <EnterReceipt {...props} />
        </DockActs>
      </div>
    </Dock>
  );
}
