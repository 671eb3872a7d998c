import { useQuery } from '@tanstack/react-query';
import { useFoodWords } from '../../lib/food-words.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { ingredientsQuery } from '../../lib/recipe-queries.ts';
import { useCooperativeId } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Select, TextField, Tick } from '../../ui/fields.tsx';
import { LotFields, NO_LOT } from '../../ui/lot-fields.tsx';
import { DecimalField, MoneyField } from '../../ui/number-fields.tsx';
import type { ReceiptLineDraft } from './shopping.ts';

interface ReceiptLineFieldsProps {
  line: ReceiptLineDraft;
  /** Its place among the lines that are sent, which the server's errors name; -1 when it is left out. */
  sentAs: number;
  onChange: (change: Partial<ReceiptLineDraft>) => void;
}

/** One line of the receipt: on it or not, what it is, how much of it, and what it cost. */
export function ReceiptLineFields({ line, sentAs, onChange }: ReceiptLineFieldsProps) {
  const t = useT();
  const isPlanned = line.purchaseId !== null;
  return (
    <div className="receipt-line" role="group" aria-label={line.label || t('buying.newLine')}>
      <Tick isSelected={!line.isLeftOut} onChange={(on) => onChange({ isLeftOut: !on })}>
        <strong>{line.label || t('buying.newLine')}</strong>
        {line.catchWeight && <span className="table-cell-note">{t('buying.byWeight')}</span>}
        {line.isLeftOut && <span className="table-cell-note">{t('buying.leftOut')}</span>}
      </Tick>
      {!line.isLeftOut && (
        <>
          {!isPlanned && <OwnLine line={line} sentAs={sentAs} onChange={onChange} />}
          <Figures line={line} sentAs={sentAs} onChange={onChange} />
          {line.kind === 'goods' && <Lot line={line} sentAs={sentAs} onChange={onChange} />}
        </>
      )}
    </div>
  );
}

function Figures({ line, sentAs, onChange }: ReceiptLineFieldsProps) {
  const t = useT();
  const food = useFoodWords();
  const formats = useFormats();
  const planned =
    line.plannedMinor === null ? undefined : t('buying.plannedAt', { amount: formats.money(line.plannedMinor) });
  return (
    <div className="receipt-line-fields">
      {line.kind === 'goods' && line.unit !== null && (
        <DecimalField
          name={`lines/${sentAs}/actualQuantity`}
          label={t(line.catchWeight ? 'buying.weightOnLabel' : 'buying.quantity')}
          unit={food.unitName(line.unit)}
          required={line.catchWeight}
          value={line.quantity}
          onChange={(quantity) => onChange({ quantity })}
        />
      )}
      <MoneyField
        name={`lines/${sentAs}/amountMinor`}
        label={t('buying.paid')}
        hint={planned}
        required
        value={line.amountMinor}
        onChange={(amountMinor) => onChange({ amountMinor })}
      />
    </div>
  );
}

/** The lot as printed on the pack, where somebody wants to write it down: one press away, so that it is in nobody's way. */
function Lot({ line: { lot, label }, sentAs, onChange }: ReceiptLineFieldsProps) {
  const t = useT();
  if (lot === null) {
    return (
      <div>
        <Button kind="plain" aria-label={t('buying.addLotNamed', { label })} onPress={() => onChange({ lot: NO_LOT })}>
          {t('buying.addLot')}
        </Button>
      </div>
    );
  }
  return (
    <div className="receipt-line-fields">
      <LotFields
        within={`lines/${sentAs}/lots/0/`}
        hint={t('buying.lotHint')}
        lot={lot}
        onChange={(next) => onChange({ lot: next })}
      />
    </div>
  );
}

/** A line that no list had: named by hand, and for goods which ingredient it is, since that decides who shares it. */
function OwnLine({ line, sentAs, onChange }: ReceiptLineFieldsProps) {
  const t = useT();
  const cooperativeId = useCooperativeId();
  const ingredients = useQuery({ ...ingredientsQuery(cooperativeId), enabled: line.kind === 'goods' }).data ?? [];
  return (
    <div className="receipt-line-fields">
      <TextField
        name={`lines/${sentAs}/label`}
        label={t('buying.what')}
        required
        maxLength={120}
        value={line.label}
        onChange={(label) => onChange({ label })}
      />
      {line.kind === 'goods' && (
        <Select
          name={`lines/${sentAs}/ingredientId`}
          label={t('buying.ingredient')}
          required
          value={line.ingredientId ?? ''}
          onChange={(ingredientId) => {
            const chosen = ingredients.find(({ id }) => id === ingredientId);
            onChange({ ingredientId, unit: chosen?.baseUnit ?? null, label: line.label || (chosen?.name ?? '') });
          }}
          options={[
            { value: '', label: t('buying.choose') },
            ...ingredients.map(({ id, name }) => ({ value: id, label: name })),
          ]}
        />
      )}
    </div>
  );
}
