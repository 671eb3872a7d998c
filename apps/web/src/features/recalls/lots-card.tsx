import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { api, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useCooperativeId } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Card, Empty } from '../../ui/card.tsx';
import { Select } from '../../ui/fields.tsx';
import { LotFields, NO_LOT } from '../../ui/lot-fields.tsx';
import { Problem } from '../../ui/problem-box.tsx';
import { say } from '../../ui/toast.tsx';
import { sourcesQuery, type Sources } from './recall-query.ts';

/** Lot codes of what was bought, and which lot went into which batch: without them a recall must count every batch that may contain it. */
export function LotsCard() {
  const t = useT();
  const sources = useQuery(sourcesQuery(useCooperativeId())).data;
  if (!sources) return null;
  return (
    <Card title={t('recalls.lots')}>
      <p className="soft">{t('recalls.lotsWords')}</p>
      {sources.receiptLines.length === 0 ? <Empty>{t('recalls.lotNone')}</Empty> : <LotForm sources={sources} />}
      {sources.lots.length > 0 && sources.batches.length > 0 && <IntoBatchForm sources={sources} />}
    </Card>
  );
}

function LotForm({ sources }: { sources: Sources }) {
  const t = useT();
  const formats = useFormats();
  const cooperativeId = useCooperativeId();
  const [receiptLineId, setLine] = useState('');
  const [lot, setLot] = useState(NO_LOT);
  const save = useWrite<void, Schemas['Lot']>({
    write: (_, headers) =>
      ok(
        api.POST('/api/cooperatives/{cooperativeId}/lots', {
          params: { path: { cooperativeId } },
          body: { receiptLineId, code: lot.code.trim(), bestBefore: lot.bestBefore || null },
          headers,
        }),
      ),
    topics: ['recalls'],
    onSuccess: ({ code }) => {
      setLot(NO_LOT);
      say(t('recalls.lotSaved', { code }));
    },
  });
  return (
    <>
      <Select
        label={t('recalls.lotOf')}
        name="receiptLine"
        value={receiptLineId}
        onChange={setLine}
        options={[
          { value: '', label: t('recalls.sourceChoose') },
          ...sources.receiptLines.map(({ id, label, boughtOn }) => ({
            value: id,
            label: `${label} · ${formats.day(boughtOn)}`,
          })),
        ]}
      />
      <LotFields lot={lot} onChange={setLot} />
      <Problem error={save.problem} />
      <div>
        <Button
          isDisabled={receiptLineId === '' || lot.code.trim() === ''}
          isPending={save.isPending}
          onPress={() => save.mutate()}
        >
          {t('recalls.lotSave')}
        </Button>
      </div>
    </>
  );
}

function IntoBatchForm({ sources }: { sources: Sources }) {
  const t = useT();
  const formats = useFormats();
  const cooperativeId = useCooperativeId();
  const [lotId, setLot] = useState('');
  const [batchId, setBatch] = useState('');
  const lot = sources.lots.find(({ id }) => id === lotId);
  const tellLot = useWrite<void>({
    write: (_, headers) =>
      ok(
        api.POST('/api/cooperatives/{cooperativeId}/batches/{batchId}/lots', {
          params: { path: { cooperativeId, batchId } },
          body: { lotIds: [lotId] },
          headers,
        }),
      ),
    topics: ['recalls', 'kitchen'],
    onSuccess: () => {
      const batch = sources.batches.find(({ id }) => id === batchId)?.lotCode;
      setBatch('');
      say(t('recalls.lotIntoSaved', { code: lot?.code, batch }));
    },
  });
  const choose = { value: '', label: t('recalls.sourceChoose') };
  return (
    <>
      <Select
        label={t('recalls.lots')}
        name="lot"
        value={lotId}
        onChange={setLot}
        options={[
          choose,
          ...sources.lots.map(({ id, code, ingredient, boughtOn }) => ({
            value: id,
            label: t('recalls.source.lot', { code, name: ingredient.name, on: formats.day(boughtOn) }),
          })),
        ]}
      />
      <Select
        label={t('recalls.lotInto')}
        name="batch"
        value={batchId}
        onChange={setBatch}
        options={[
          choose,
          ...sources.batches.map(({ id, lotCode, dish }) => ({
            value: id,
            label: t('recalls.source.batch', { code: lotCode, name: dish }),
          })),
        ]}
      />
      {lot && <p>{t('food.lot.hides', { ingredient: lot.ingredient.name })}</p>}
      <Problem error={tellLot.problem} />
      <div>
        <Button
          isDisabled={lotId === '' || batchId === ''}
          isPending={tellLot.isPending}
          onPress={() => tellLot.mutate()}
        >
          {t('recalls.lotIntoSave')}
        </Button>
      </div>
    </>
  );
}
