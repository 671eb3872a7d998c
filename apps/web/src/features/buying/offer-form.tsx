import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { api, ok } from '../../lib/api/client.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { unitChoices, useFoodWords } from '../../lib/food-words.ts';
import { useT } from '../../lib/locale.tsx';
import { ingredientsQuery } from '../../lib/recipe-queries.ts';
import { useSession } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Select, TextField, Tick, DateField } from '../../ui/fields.tsx';
import { Fields, Form } from '../../ui/form.tsx';
import { DecimalField, MoneyField } from '../../ui/number-fields.tsx';
import { say } from '../../ui/toast.tsx';
import type { Offer, Seller } from './offer-queries.ts';

interface OfferFormProps {
  sellers: readonly Seller[];
  ingredientId?: string;
  onDone: () => void;
}

/** A seller's price for a pack, from a day on; the earlier price of the same pack ends the day before. */
export function OfferForm({ sellers, ingredientId, onDone }: OfferFormProps) {
  const t = useT();
  const food = useFoodWords();
  const { cooperative, cooperativeId } = useSession();
  const ingredients = useQuery(ingredientsQuery(cooperativeId)).data ?? [];
  const [seller, setSeller] = useState(sellers.length === 1 ? (sellers[0]?.id ?? '') : '');
  const [ingredient, setIngredient] = useState(ingredientId ?? '');
  const [label, setLabel] = useState('');
  const [quantity, setQuantity] = useState<string | null>(null);
  const [unit, setUnit] = useState('kg');
  const [price, setPrice] = useState<string | null>(null);
  const [minPacks, setMinPacks] = useState<string | null>(null);
  const [maxPacks, setMaxPacks] = useState<string | null>(null);
  const [catchWeight, setCatchWeight] = useState(false);
  const [validFrom, setValidFrom] = useState(cooperative.today);
  const save = useWrite<Schemas['SaveOffer'], Offer>({
    write: (body, headers) =>
      ok<Offer>(
        api.POST('/api/cooperatives/{cooperativeId}/offers', { params: { path: { cooperativeId } }, body, headers }),
      ),
    topics: ['buying', 'rounds'],
    onSuccess: (offer) => {
      say(t('buying.priceKept', { label: offer.label }));
      onDone();
    },
  });
  const choose = { value: '', label: t('buying.choose') };
  return (
    <Form
      label={t('buying.newPrice')}
      onSubmit={() =>
        save.mutate({
          sellerId: seller,
          ingredientId: ingredient,
          label,
          packQuantity: quantity ?? '0',
          packUnit: unit,
          priceMinor: price ?? '0',
          catchWeight,
          minPacks: minPacks === null ? null : Number(minPacks),
          maxPacks: maxPacks === null ? null : Number(maxPacks),
          validFrom,
        })
      }
      error={save.error}
      acts={
        <>
          <Button type="submit" kind="main" isPending={save.isPending}>
            {t('buying.keepPrice')}
          </Button>
          <Button kind="plain" onPress={onDone}>
            {t('common.cancel')}
          </Button>
        </>
      }
    >
      <Fields two>
        <Select
          name="ingredientId"
          label={t('buying.ingredient')}
          required
          value={ingredient}
          onChange={setIngredient}
          options={[choose, ...ingredients.map(({ id, name }) => ({ value: id, label: name }))]}
        />
        <Select
          name="sellerId"
          label={t('buying.seller')}
          required
          value={seller}
          onChange={setSeller}
          options={[choose, ...sellers.map(({ id, name }) => ({ value: id, label: name }))]}
        />
      </Fields>
      <TextField
        name="label"
        label={t('buying.packLabel')}
        hint={t('buying.packLabelHint')}
        required
        maxLength={120}
        value={label}
        onChange={setLabel}
      />
      <Fields two>
        <DecimalField
          name="packQuantity"
          label={t('buying.packQuantity')}
          required
          value={quantity}
          onChange={setQuantity}
        />
        <Select
          name="packUnit"
          label={t('buying.unit')}
          value={unit}
          onChange={setUnit}
          options={unitChoices(food.measures).map((id) => ({ value: id, label: food.unitName(id) }))}
        />
        <MoneyField name="priceMinor" label={t('buying.packPrice')} required value={price} onChange={setPrice} />
        <DateField name="validFrom" label={t('buying.validFrom')} required value={validFrom} onChange={setValidFrom} />
        <DecimalField
          name="minPacks"
          label={t('buying.minPacks')}
          hint={t('buying.packsHint')}
          decimals={0}
          value={minPacks}
          onChange={setMinPacks}
        />
        <DecimalField
          name="maxPacks"
          label={t('buying.maxPacks')}
          hint={t('buying.packsHint')}
          decimals={0}
          value={maxPacks}
          onChange={setMaxPacks}
        />
      </Fields>
      <Tick isSelected={catchWeight} onChange={setCatchWeight}>
        {t('buying.catchWeight')}
      </Tick>
    </Form>
  );
}
