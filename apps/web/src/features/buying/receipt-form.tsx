import { useNavigate } from '@tanstack/react-router';
import { api, ok } from '../../lib/api/client.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useFormats } from '../../lib/formats.ts';
import type { Household } from '../../lib/household-queries.ts';
import { useKeptState } from '../../lib/kept-state.ts';
import { useT } from '../../lib/locale.tsx';
import type { Round } from '../../lib/round-stage.ts';
import { useSession } from '../../lib/session.tsx';
import { Button, LinkButton } from '../../ui/button.tsx';
import { Card, Note } from '../../ui/card.tsx';
import { DateField, Select, TextField } from '../../ui/fields.tsx';
import { Fields, Form } from '../../ui/form.tsx';
import { Row } from '../../ui/page.tsx';
import { say } from '../../ui/toast.tsx';
import { useNotes } from './noted.ts';
import type { Seller } from './offer-queries.ts';
import { ReceiptLineFields } from './receipt-line-fields.tsx';
import {
  feeLine,
  goodsLine,
  keyOf,
  receiptFrom,
  receiptTotal,
  sentLines,
  type Buying,
  type Receipt,
  type ReceiptLineDraft,
} from './shopping.ts';

interface ReceiptFormProps {
  round: Round;
  buying: Buying;
  sellers: readonly Seller[];
  households: readonly Household[];
  sellerId: string;
}

interface Draft {
  paidBy: string;
  boughtOn: string;
  note: string;
  lines: ReceiptLineDraft[];
}

/** The receipt as it is typed, kept on the device until it is sent; begun anew when the list or the notes have changed meanwhile. */
function useDraft({ round, buying, sellerId }: ReceiptFormProps, feeLabel: string) {
  const { cooperative, householdId } = useSession();
  const notes = useNotes(round.id);
  const list = buying.lists.find((each) => each.seller.id === sellerId);
  const open = list?.lines.filter((line) => line.paidMinor === null) ?? [];
  const basis = JSON.stringify([open.map((line) => [line.id, line.bought]), notes.notes]);
  const begin = (): Draft => ({
    paidBy: householdId,
    boughtOn: cooperative.today,
    note: '',
    lines: list ? receiptFrom(list, notes.notes, feeLabel) : [],
  });
  const [draft, setDraft, forget] = useKeptState<Draft>(`receipt.${round.id}.${sellerId}`, begin, basis);
  const forgetAll = () => {
    forget();
    notes.forget(open.map(keyOf));
  };
  return { draft, setDraft, forgetAll };
}

export function ReceiptForm(props: ReceiptFormProps) {
  const t = useT();
  const formats = useFormats();
  const { round, sellers, households, sellerId } = props;
  const { can, cooperativeId, householdId } = useSession();
  const navigate = useNavigate();
  const { draft, setDraft, forgetAll } = useDraft(props, t('buying.feeLabel'));
  const set = (change: Partial<Draft>) => setDraft((old) => ({ ...old, ...change }));
  const setLine = (index: number, change: Partial<ReceiptLineDraft>) =>
    setDraft((old) => ({
      ...old,
      lines: old.lines.map((line, each) => (each === index ? { ...line, ...change } : line)),
    }));
  const keep = useWrite<Schemas['CreateReceipt'], Receipt>({
    write: (body, headers) =>
      ok<Receipt>(
        api.POST('/api/cooperatives/{cooperativeId}/rounds/{roundId}/receipts', {
          params: { path: { cooperativeId, roundId: round.id } },
          body,
          headers,
        }),
      ),
    topics: ['buying', 'rounds', 'accounts'],
    onSuccess: async (receipt) => {
      forgetAll();
      say(t('buying.receiptKept', { seller: receipt.seller.name, amount: formats.money(receipt.totalMinor) }));
      await navigate({
        to: '/rounds/$roundId/buy',
        params: { roundId: round.id },
        search: { seller: receipt.seller.id },
      });
    },
  });
  const lines = sentLines(draft.lines);
  const total = formats.money(receiptTotal(draft.lines).toString());
  // Buyers may enter what any household paid; others what their own did.
  const payers = can('coordinator', 'buyer') ? households : households.filter(({ id }) => id === householdId);
  return (
    <Form
      onSubmit={() =>
        keep.mutate({
          sellerId,
          paidByHouseholdId: draft.paidBy,
          boughtOn: draft.boughtOn,
          note: draft.note,
          lines: lines.map(({ line }) => line),
        })
      }
      error={keep.error}
      acts={
        <>
          <Button type="submit" kind="main" tall isDisabled={lines.length === 0} isPending={keep.isPending}>
            {t('buying.keepReceipt', { amount: total })}
          </Button>
          <LinkButton
            kind="plain"
            to="/rounds/$roundId/buy"
            params={{ roundId: round.id }}
            search={{ seller: sellerId }}
          >
            {t('buying.backToLists')}
          </LinkButton>
        </>
      }
    >
      <Card title={t('buying.receiptHead')}>
        <Fields two>
          <Select
            name="sellerId"
            label={t('buying.seller')}
            value={sellerId}
            onChange={(seller) =>
              void navigate({
                to: '/rounds/$roundId/buy/receipt',
                params: { roundId: round.id },
                search: { seller },
                replace: true,
              })
            }
            options={sellers.map(({ id, name }) => ({ value: id, label: name }))}
          />
          <Select
            name="paidByHouseholdId"
            label={t('buying.whoPaid')}
            value={draft.paidBy}
            onChange={(paidBy) => set({ paidBy })}
            options={payers.map(({ id, name }) => ({ value: id, label: name }))}
          />
          <DateField
            name="boughtOn"
            label={t('buying.boughtOn')}
            required
            value={draft.boughtOn}
            onChange={(boughtOn) => set({ boughtOn })}
          />
          <TextField
            name="note"
            label={t('buying.note')}
            maxLength={500}
            value={draft.note}
            onChange={(note) => set({ note })}
          />
        </Fields>
      </Card>
      <Card title={t('buying.receiptLines')} aside={t('buying.lineCount', { n: lines.length })}>
        <p className="soft measure">{t('buying.receiptLinesWords')}</p>
        <div>
          {draft.lines.map((line, index) => (
            <ReceiptLineFields
              key={line.purchaseId ?? `own-${index}`}
              line={line}
              sentAs={lines.findIndex((sent) => sent.index === index)}
              onChange={(change) => setLine(index, change)}
            />
          ))}
        </div>
        <Row>
          <Button onPress={() => set({ lines: [...draft.lines, goodsLine()] })}>{t('buying.addGoods')}</Button>
          <Button onPress={() => set({ lines: [...draft.lines, feeLine(t('buying.feeLabel'), null)] })}>
            {t('buying.addFee')}
          </Button>
        </Row>
        <p className="row row-apart">
          <strong>{t('buying.receiptTotal')}</strong>
          <strong>{total}</strong>
        </p>
        <Note>
          <p>{t('buying.splitNote')}</p>
        </Note>
      </Card>
    </Form>
  );
}
