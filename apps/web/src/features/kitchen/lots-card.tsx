import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useCooperativeId, useSession } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Card } from '../../ui/card.tsx';
import { Dialog } from '../../ui/dialog.tsx';
import { Select, Tick } from '../../ui/fields.tsx';
import { Form } from '../../ui/form.tsx';
import { LotFields, NO_LOT } from '../../ui/lot-fields.tsx';
import { QueryView } from '../../ui/query-view.tsx';
import { batchLotsQuery, type BatchLots } from './batch-lots-query.ts';
import { useBatchLots } from './use-batch-lots.ts';
import type { Batch } from './yield-draft.ts';

type OfIngredient = BatchLots['ingredients'][number];
type Lot = OfIngredient['lots'][number];

/** Which packs went into the batch, by the code on them: ticked where the buyer wrote it down, else written down here. */
export function LotsCard({ batch }: { batch: Batch }) {
  const cooperativeId = useCooperativeId();
  const query = useQuery(batchLotsQuery(cooperativeId, batch.id));
  return (
    <QueryView query={query} lines={2}>
      {({ ingredients }) => ingredients.length > 0 && <Lots {...{ batch, ingredients }} />}
    </QueryView>
  );
}

function Lots({ batch, ingredients }: { batch: Batch; ingredients: readonly OfIngredient[] }) {
  const t = useT();
  const { can } = useSession();
  const [asked, setAsked] = useState<OfIngredient | null>(null);
  const [ticked, setTicked] = useState<Lot | null>(null);
  const acts = useBatchLots(batch);
  const mayAct = can('coordinator', 'buyer', 'adult');
  const isTold = ({ id, told }: Lot) => told || acts.told.has(id);
  const told = ingredients.filter(({ lots }) => lots.some(isTold)).length;
  return (
    <Card title={t('kitchen.lots')} aside={t('kitchen.lotsTold', { told, count: ingredients.length })}>
      <p className="soft">{t('kitchen.lotsWords')}</p>
      <ul className="list" role="list">
        {ingredients.map((each) => (
          <li className="list-row kitchen-lots" key={each.ingredient.id}>
            <strong>{each.ingredient.name}</strong>
            {each.lots.length === 0 && <span className="soft small">{t('kitchen.lotUnknown')}</span>}
            {each.lots.map((lot) => (
              <Tick
                key={lot.id}
                tall
                isSelected={isTold(lot)}
                isDisabled={isTold(lot) || !mayAct}
                onChange={() => setTicked(lot)}
              >
                <LotWords lot={lot} />
              </Tick>
            ))}
            {mayAct && each.receiptLines.length > 0 && (
              <div>
                <Button
                  kind="plain"
                  tall
                  onPress={() => {
                    acts.write.reset();
                    setAsked(each);
                  }}
                >
                  {t(each.lots.length === 0 ? 'kitchen.lotWrite' : 'kitchen.lotOther')}
                  <span className="hidden">: {each.ingredient.name}</span>
                </Button>
              </div>
            )}
          </li>
        ))}
      </ul>
      <p className="soft small">{t('kitchen.lotStays')}</p>
      <Dialog
        title={ticked ? t('kitchen.lotAsk', { code: ticked.code, batch: batch.lotCode }) : ''}
        isOpen={ticked !== null}
        onClose={() => setTicked(null)}
      >
        {ticked && <TickLot lot={ticked} acts={acts} onDone={() => setTicked(null)} />}
      </Dialog>
      <Dialog
        title={asked ? t('kitchen.lotWriteNamed', { ingredient: asked.ingredient.name }) : ''}
        isOpen={asked !== null}
        onClose={() => setAsked(null)}
      >
        {asked && <WriteLot asked={asked} acts={acts} onDone={() => setAsked(null)} />}
      </Dialog>
    </Card>
  );
}

/** A tick narrows what a recall finds and stays: its consequence is read before it is made. */
function TickLot({ lot, acts, onDone }: { lot: Lot; acts: ReturnType<typeof useBatchLots>; onDone: () => void }) {
  const t = useT();
  const tell = () => {
    acts.tell(lot);
    onDone();
  };
  return (
    <div className="stack">
      <p>{t('food.lot.hides', { ingredient: lot.ingredient.name })}</p>
      <div className="row">
        <Button tall onPress={tell}>
          {t('kitchen.lotKeep')}
        </Button>
        <Button kind="plain" tall onPress={onDone}>
          {t('common.cancel')}
        </Button>
      </div>
    </div>
  );
}

function LotWords({ lot }: { lot: Lot }) {
  const t = useT();
  const formats = useFormats();
  const { code, bestBefore, boughtOn } = lot;
  return (
    <>
      {t('kitchen.lotChoice', { code })}
      <span className="table-cell-note">
        {t('kitchen.lotBought', { on: formats.day(boughtOn) })}
        {bestBefore !== null && <> · {t('kitchen.lotUntil', { date: formats.day(bestBefore, 'dated') })}</>}
      </span>
    </>
  );
}

function WriteLot(props: { asked: OfIngredient; acts: ReturnType<typeof useBatchLots>; onDone: () => void }) {
  const t = useT();
  const formats = useFormats();
  const { write } = props.acts;
  const { ingredient, receiptLines } = props.asked;
  const [receiptLineId, setLine] = useState(receiptLines[0]?.id ?? '');
  const [lot, setLot] = useState(NO_LOT);
  return (
    <Form
      error={write.error}
      onSubmit={() =>
        write.mutate(
          { receiptLineId, code: lot.code.trim(), bestBefore: lot.bestBefore || null },
          { onSuccess: props.onDone },
        )
      }
      acts={
        <>
          <Button type="submit" tall isPending={write.isPending}>
            {t('kitchen.lotKeep')}
          </Button>
          <Button kind="plain" tall onPress={props.onDone}>
            {t('common.cancel')}
          </Button>
        </>
      }
    >
      {receiptLines.length > 1 && (
        <Select
          label={t('kitchen.lotLine')}
          name="receiptLineId"
          value={receiptLineId}
          onChange={setLine}
          options={receiptLines.map(({ id, label, boughtOn }) => ({
            value: id,
            label: `${label} · ${formats.day(boughtOn)}`,
          }))}
        />
      )}
      <LotFields
        label={t('kitchen.lotCode', { ingredient: ingredient.name })}
        required
        tall
        lot={lot}
        onChange={setLot}
      />
      <p>{t('food.lot.hides', { ingredient: ingredient.name })}</p>
    </Form>
  );
}
