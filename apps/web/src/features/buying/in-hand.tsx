import { rational } from '@frostmoot/calc';
import { useState } from 'react';
import { useFoodWords } from '../../lib/food-words.ts';
import { useFormats } from '../../lib/formats.ts';
import { T, useT } from '../../lib/locale.tsx';
import { Button } from '../../ui/button.tsx';
import { Fields, Form } from '../../ui/form.tsx';
import { DecimalField, MoneyField, WeightField } from '../../ui/number-fields.tsx';
import type { NotesInHand } from './noted.ts';
import { keyOf, type Purchase } from './shopping.ts';
import type { Ticker } from './use-tick.ts';
import { amountOf, labelQuantity, pricePerUnit, probablyMeant } from './weighed.ts';

interface InHandProps {
  line: Purchase;
  notes: NotesInHand;
  ticker: Ticker;
}

/** The line in hand: its weight and price where it is priced by weight, else the price at the shelf. The sum stands in the button. */
export function InHand(props: InHandProps) {
  const t = useT();
  const formats = useFormats();
  const { line } = props;
  return (
    <section className="in-hand" aria-label={line.label}>
      <div>
        <h3>{line.ingredient.name}</h3>
        <p className="soft">
          {t('buying.inHandPlan', { n: line.packs, label: line.label, amount: formats.money(line.plannedMinor) })}
        </p>
      </div>
      {line.catchWeight ? <Weighed {...props} /> : <AtTheShelf {...props} />}
    </section>
  );
}

function Weighed({ line, notes, ticker }: InHandProps) {
  const t = useT();
  const formats = useFormats();
  const food = useFoodWords();
  const planned = labelQuantity(line.packs, line.packQuantity);
  const usualPrice = rational.round(pricePerUnit(line.priceMinor, line.packQuantity)).toString();
  const [weight, setWeight] = useState<string | null>(notes.notes[keyOf(line)]?.quantity ?? null);
  const [price, setPrice] = useState<string | null>(usualPrice);
  const [asked, setAsked] = useState<string | null>(null);
  // The price that nobody has changed is kept exact, since a pack's price need not be whole minor units a kilogram.
  const perUnit =
    price === usualPrice ? pricePerUnit(line.priceMinor, line.packQuantity) : rational.parse(price ?? '0');
  const amount = weight !== null && price !== null ? amountOf(weight, perUnit) : null;
  const meant = asked !== null && asked === weight ? probablyMeant(asked, planned) : undefined;

  const keep = (quantity: string) => {
    notes.note(keyOf(line), { quantity, amountMinor: amountOf(quantity, perUnit) });
    ticker.tick(line, true);
  };
  const submit = () => {
    if (weight === null || amount === null) return;
    if (probablyMeant(weight, planned) !== undefined) setAsked(weight);
    else keep(weight);
  };
  return (
    <Form
      label={line.label}
      onSubmit={submit}
      acts={
        <Button type="submit" kind="main" tall>
          {amount === null ? t('buying.boughtPlain') : t('buying.boughtAt', { amount: formats.money(amount) })}
        </Button>
      }
    >
      <Fields two>
        <WeightField
          name="weight"
          label={t('buying.weightOnLabel')}
          tall
          required
          unit={food.unitName(line.packUnit)}
          value={weight}
          onChange={setWeight}
        />
        <MoneyField
          name="price"
          label={t('buying.pricePer', { unit: food.unitName(line.packUnit) })}
          tall
          required
          value={price}
          onChange={setPrice}
        />
      </Fields>
      {amount !== null && weight !== null && (
        <Arithmetic line={line} weight={weight} price={price ?? '0'} amount={amount} />
      )}
      {meant !== undefined && asked !== null && (
        <div className="in-hand-question" role="alert">
          <strong>{t('buying.didYouMean', { meant: formats.quantity(meant, { least: 0, most: 3 }) })}</strong>
          <div className="row">
            <Button
              onPress={() => {
                setWeight(meant);
                keep(meant);
              }}
            >
              {t('buying.meant', { weight: food.exactAmount(meant, line.packUnit) })}
            </Button>
            <Button onPress={() => keep(asked)}>
              {t('buying.itIs', { weight: food.exactAmount(asked, line.packUnit) })}
            </Button>
          </div>
        </div>
      )}
    </Form>
  );
}

/** "4.36 × 6.40 = €27.90, €2.30 more than planned. The difference is split like the tray itself." */
function Arithmetic({
  line,
  weight,
  price,
  amount,
}: {
  line: Purchase;
  weight: string;
  price: string;
  amount: string;
}) {
  const formats = useFormats();
  const difference = BigInt(amount) - BigInt(line.plannedMinor);
  const sum = {
    weight: formats.quantity(weight, { least: 0, most: 3 }),
    price: formats.amount(price),
    amount: formats.money(amount),
    difference: formats.absoluteMoney(difference.toString()),
  };
  const key = difference === 0n ? 'buying.sumAsPlanned' : difference > 0n ? 'buying.sumMore' : 'buying.sumLess';
  return (
    <p>
      <T k={key} values={sum} />
    </p>
  );
}

function AtTheShelf({ line, notes, ticker }: InHandProps) {
  const t = useT();
  const formats = useFormats();
  const noted = notes.notes[keyOf(line)];
  const [quantity, setQuantity] = useState<string | null>(noted?.quantity ?? null);
  const [amount, setAmount] = useState<string | null>(noted?.amountMinor ?? null);
  const submit = () => {
    if (amount === null) return;
    notes.note(keyOf(line), { quantity, amountMinor: amount });
    ticker.tick(line, true);
  };
  return (
    <Form
      label={line.label}
      onSubmit={submit}
      acts={
        <Button type="submit" kind="main" tall>
          {amount === null ? t('buying.boughtPlain') : t('buying.boughtAt', { amount: formats.money(amount) })}
        </Button>
      }
    >
      <Fields two>
        <MoneyField name="amount" label={t('buying.paidForAll')} tall required value={amount} onChange={setAmount} />
        <DecimalField
          name="quantity"
          label={t('buying.quantityIfOther')}
          tall
          unit={line.packUnit}
          value={quantity}
          onChange={setQuantity}
        />
      </Fields>
    </Form>
  );
}
