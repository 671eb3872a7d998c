import { useQuery } from '@tanstack/react-query';
import { useNavigate } from '@tanstack/react-router';
import { useState } from 'react';
import { api, ok } from '../../lib/api/client.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useCooperativeId } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Card, Note } from '../../ui/card.tsx';
import { ConfirmTyped } from '../../ui/dialog.tsx';
import { Select, TextArea, TextField, Tick } from '../../ui/fields.tsx';
import { Problem } from '../../ui/problem-box.tsx';
import { sourcesQuery, traceQuery, type Recall, type Source, type Sources } from './recall-query.ts';

/** Begins a recall or a drill: what, where it went, and the second step before everybody is told. `source` is chosen already ("batch <id>"). */
export function StartRecallCard({ source = '' }: { source?: string }) {
  const t = useT();
  const cooperativeId = useCooperativeId();
  const navigate = useNavigate();
  const sources = useQuery(sourcesQuery(cooperativeId)).data;
  const options = useOptions(sources);
  const [chosen, setChosen] = useState(source);
  const [reference, setReference] = useState('');
  const [reason, setReason] = useState('');
  const [drill, setDrill] = useState(false);
  const [asking, setAsking] = useState(false);
  const [kind = 'lot', sourceId = ''] = chosen.split(' ') as [Source?, string?];
  const trace = useQuery({ ...traceQuery(cooperativeId, kind, sourceId), enabled: sourceId !== '' }).data;
  const start = useWrite<boolean, Recall>({
    write: (isDrill, headers) =>
      ok(
        api.POST('/api/cooperatives/{cooperativeId}/recalls', {
          params: { path: { cooperativeId } },
          body: { source: kind, sourceId, drill: isDrill, reason: reason.trim(), reference: reference.trim() },
          headers,
        }),
      ),
    topics: ['recalls', 'stock', 'swaps', 'notices'],
    onSuccess: ({ id }) => navigate({ to: '/recalls/$recallId', params: { recallId: id } }),
  });
  return (
    <Card title={t('recalls.start')}>
      <p className="soft">{t('recalls.startWords')}</p>
      <Select
        label={t('recalls.source')}
        name="source"
        value={chosen}
        onChange={setChosen}
        options={[{ value: '', label: t('recalls.sourceChoose') }, ...options]}
      />
      {sourceId !== '' && trace && (
        <div role="status">
          <p>
            <strong>{t('recalls.traced', { containers: trace.containers, households: trace.households })}</strong>
          </p>
          {trace.batches.map((batch) => (
            <p key={batch.id}>
              {batch.dish} · {t('recalls.chain.batch', { code: batch.lotCode, n: batch.containers })}
              {!batch.sure && <> · {t('recalls.maybe')}</>}
            </p>
          ))}
        </div>
      )}
      <TextField label={t('recalls.referenceField')} maxLength={120} value={reference} onChange={setReference} />
      <TextArea label={t('recalls.reasonField')} maxLength={1000} value={reason} onChange={setReason} />
      <Tick isSelected={drill} onChange={setDrill}>
        {t('recalls.asDrill')}
      </Tick>
      {drill && <p className="soft">{t('recalls.drillWords')}</p>}
      <Problem error={start.problem} />
      <div>
        <Button
          kind="main"
          isDisabled={!trace || sourceId === ''}
          isPending={start.isPending}
          onPress={() => (drill ? start.mutate(true) : setAsking(true))}
        >
          {t(drill ? 'recalls.startDrill' : 'recalls.startReal')}
        </Button>
      </div>
      <Note>{t('recalls.rule')}</Note>
      {trace && (
        <ConfirmTyped
          isOpen={asking}
          onClose={() => setAsking(false)}
          title={t('recalls.confirmTitle', { households: trace.households })}
          consequence={<p>{t('recalls.confirmWords', { containers: trace.containers })}</p>}
          word={t('recalls.confirmWord')}
          confirm={t('recalls.confirm')}
          keep={t('recalls.confirmKeep')}
          isPending={start.isPending}
          problem={<Problem error={start.problem} />}
          onConfirm={() => start.mutate(false)}
        />
      )}
    </Card>
  );
}

/** Lots first, since they are the narrowest; then receipts and batches. */
function useOptions(sources: Sources | undefined) {
  const t = useT();
  const formats = useFormats();
  const { lots = [], receiptLines = [], batches = [] } = sources ?? {};
  return [
    ...lots.map(({ id, code, ingredient, boughtOn }) => ({
      value: `lot ${id}`,
      label: t('recalls.source.lot', { code, name: ingredient.name, on: formats.day(boughtOn) }),
    })),
    ...receiptLines.map(({ id, label, boughtOn }) => ({
      value: `receipt-line ${id}`,
      label: t('recalls.source.receipt-line', { name: label, on: formats.day(boughtOn) }),
    })),
    ...batches.map(({ id, lotCode, dish }) => ({
      value: `batch ${id}`,
      label: t('recalls.source.batch', { code: lotCode, name: dish }),
    })),
  ];
}
