import { queryOptions, useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { api, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Card, Note } from '../../ui/card.tsx';
import { Choices, Select, TextField } from '../../ui/fields.tsx';
import { Problem } from '../../ui/problem-box.tsx';
import { QueryView } from '../../ui/query-view.tsx';
import { say } from '../../ui/toast.tsx';

const REASONS = ['warm', 'mould', 'smell', 'other'] as const;
type Reason = (typeof REASONS)[number];

const heldQuery = (cooperativeId: string, householdId: string) =>
  queryOptions({
    queryKey: ['recalls', 'held', cooperativeId, householdId],
    meta: { topics: ['stock'] },
    queryFn: async () => {
      const params = { path: { cooperativeId }, query: { householdId } };
      return (await ok<Schemas['Freezer']>(api.GET('/api/cooperatives/{cooperativeId}/freezer', { params }))).items;
    },
  });

/** Something is wrong with a container that my household holds: the coordinators are told. */
export function SuspectCard() {
  const t = useT();
  const { cooperativeId, householdId } = useSession();
  const query = useQuery(heldQuery(cooperativeId, householdId));
  return (
    <Card title={t('recalls.suspect')}>
      <QueryView query={query}>
        {(held) => (held.length === 0 ? t('recalls.suspectNone') : <SuspectForm held={held} />)}
      </QueryView>
    </Card>
  );
}

function SuspectForm({ held }: { held: Schemas['Freezer']['items'] }) {
  const t = useT();
  const { cooperativeId } = useSession();
  const [containerId, setContainerId] = useState('');
  const [reason, setReason] = useState<string>('warm');
  const [words, setWords] = useState('');
  const send = useWrite<void>({
    write: (_, headers) =>
      ok(
        api.POST('/api/cooperatives/{cooperativeId}/suspicions', {
          params: { path: { cooperativeId } },
          body: { containerId, reason: reason as Reason, words: words.trim() },
          headers,
        }),
      ),
    topics: ['recalls', 'notices'],
    onSuccess: () => {
      setContainerId('');
      setWords('');
      say(t('recalls.suspected'));
    },
  });
  return (
    <>
      <Select
        label={t('recalls.suspectWhich')}
        name="container"
        value={containerId}
        onChange={setContainerId}
        options={[
          { value: '', label: t('recalls.sourceChoose') },
          ...held.map(({ id, dish, code }) => ({ value: id, label: `${dish} · ${code}` })),
        ]}
      />
      <Choices
        label={t('recalls.suspectWhy')}
        name="reason"
        value={reason}
        onChange={setReason}
        options={REASONS.map((each) => ({ value: each, label: t(`recalls.reason.${each}`) }))}
      />
      <TextField label={t('recalls.words')} maxLength={300} value={words} onChange={setWords} />
      <Problem error={send.problem} />
      <div>
        <Button isDisabled={containerId === ''} isPending={send.isPending} onPress={() => send.mutate()}>
          {t('recalls.suspectSend')}
        </Button>
      </div>
      <Note>{t('recalls.suspectWords')}</Note>
    </>
  );
}
