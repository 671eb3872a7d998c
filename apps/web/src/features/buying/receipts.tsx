import { useState } from 'react';
import { useFoodWords } from '../../lib/food-words.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import type { Round } from '../../lib/round-stage.ts';
import { useSession } from '../../lib/session.tsx';
import { Button, LinkButton } from '../../ui/button.tsx';
import { Card, Note } from '../../ui/card.tsx';
import { DataTable, type Column } from '../../ui/data-table.tsx';
import { CorrectLine } from './correct-line.tsx';
import { mayCorrect, mayEnterReceipt } from './receipt-stages.ts';
import type { Receipt } from './shopping.ts';

type Line = Receipt['lines'][number];

/** The receipts of a round, each line with how it was split, and its correction as a line of its own. */
export function Receipts({ round, receipts }: { round: Round; receipts: readonly Receipt[] }) {
  const t = useT();
  if (receipts.length === 0) return null;
  const corrected = new Set(
    receipts.flatMap(({ lines }) => lines.filter(({ kind }) => kind === 'refund').map((line) => line.correctsLineId)),
  );
  return (
    <Card
      title={t('buying.receipts')}
      aside={
        mayEnterReceipt(round.stage) ? (
          <LinkButton kind="plain" to="/rounds/$roundId/buy/receipt" params={{ roundId: round.id }}>
            {t('buying.anotherReceipt')}
          </LinkButton>
        ) : (
          t('buying.receiptCount', { n: receipts.length })
        )
      }
    >
      {receipts.map((receipt) => (
        <OneReceipt key={receipt.id} round={round} receipt={receipt} refunded={corrected} />
      ))}
      <Note>
        <p>{t('buying.splitNote')}</p>
      </Note>
    </Card>
  );
}

function OneReceipt({
  round,
  receipt,
  refunded,
}: {
  round: Round;
  receipt: Receipt;
  refunded: ReadonlySet<string | null>;
}) {
  const t = useT();
  const formats = useFormats();
  const isCorrection = receipt.lines.every(({ correctsLineId }) => correctsLineId !== null);
  const title = t(isCorrection ? 'buying.correctionOf' : 'buying.receiptOf', { seller: receipt.seller.name });
  return (
    <section className="receipt" aria-label={`${title}, ${formats.day(receipt.boughtOn)}`}>
      <div className="row row-apart">
        <h3>{title}</h3>
        <strong>{formats.money(receipt.totalMinor)}</strong>
      </div>
      <p className="soft">
        {t('buying.paidBy', {
          household: receipt.paidBy.name,
          date: formats.day(receipt.boughtOn),
          by: receipt.createdBy,
        })}
        {receipt.note && ` · ${receipt.note}`}
      </p>
      <ul role="list">
        {receipt.lines.map((line) => (
          <ReceiptLineRow key={line.id} round={round} line={line} isRefunded={refunded.has(line.id)} />
        ))}
      </ul>
    </section>
  );
}

type Open = 'split' | 'correct' | null;

function ReceiptLineRow({ round, line, isRefunded }: { round: Round; line: Line; isRefunded: boolean }) {
  const t = useT();
  const formats = useFormats();
  const food = useFoodWords();
  const { can } = useSession();
  const [open, setOpen] = useState<Open>(null);
  const quantity =
    line.actualQuantity !== null && line.unit !== null ? food.exactAmount(line.actualQuantity, line.unit) : null;
  const kind = line.kind === 'goods' ? null : t(`buying.kind.${line.kind}`);
  const isCorrectable =
    can('coordinator', 'buyer') && mayCorrect(round.stage) && line.correctsLineId === null && !isRefunded;
  const lots = line.lots.map(({ code, bestBefore }) =>
    bestBefore === null
      ? t('buying.lot', { code })
      : t('buying.lotUntil', { code, date: formats.day(bestBefore, 'dated') }),
  );
  const detail = [kind, quantity, ...lots, isRefunded ? t('buying.refunded') : null].filter(Boolean).join(' · ');
  const toggle = (part: Open) => setOpen(open === part ? null : part);
  const buttons = (
    <>
      <Button kind="plain" aria-expanded={open === 'split'} onPress={() => toggle('split')}>
        {t('buying.howSplit')}
        <span className="hidden">: {line.label}</span>
      </Button>
      {isCorrectable && (
        <Button kind="plain" aria-expanded={open === 'correct'} onPress={() => toggle('correct')}>
          {t('buying.correct')}
          <span className="hidden">: {line.label}</span>
        </Button>
      )}
    </>
  );
  return (
    <li className="receipt-row">
      <div className="receipt-row-head">
        <span className="list-row-words">
          <span className="list-row-title">{line.label}</span>
          {detail !== '' && <span className="soft small">{detail}</span>}
        </span>
        <span className="receipt-row-acts">{buttons}</span>
        <strong className="number">
          {line.correctsLineId ? formats.signedMoney(line.amountMinor) : formats.money(line.amountMinor)}
        </strong>
      </div>
      {open === 'split' && <Split line={line} />}
      {open === 'correct' && <CorrectLine round={round} line={line} onDone={() => setOpen(null)} />}
    </li>
  );
}

type Part = Line['split'][number];

/** Each household's part: its headcount of all that share the line, and what that comes to. */
function Split({ line }: { line: Line }) {
  const t = useT();
  const formats = useFormats();
  const { householdId } = useSession();
  const weight = (value: string) => formats.quantity(value, { least: 0, most: 2 });
  const columns: Column<Part>[] = [
    {
      key: 'household',
      head: t('buying.household'),
      rowHead: true,
      cell: (part) => part.household.name,
      foot: t('buying.all'),
    },
    {
      key: 'share',
      head: t('buying.share'),
      number: true,
      cell: (part) => t('buying.shareOf', { share: weight(part.share), of: weight(part.of) }),
      foot: '',
    },
    {
      key: 'amount',
      head: t('buying.amount'),
      number: true,
      cell: (part) => formats.money(part.amountMinor),
      foot: formats.money(line.amountMinor),
    },
  ];
  return (
    <DataTable
      caption={t('buying.splitOf', { label: line.label })}
      columns={columns}
      rows={line.split}
      rowKey={(part) => part.household.id}
      mine={(part) => part.household.id === householdId}
      onPhone="table"
    />
  );
}
