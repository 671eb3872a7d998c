import { useQueryClient } from '@tanstack/react-query';
import { useState } from 'react';
import { api, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useCooperativeId } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Card } from '../../ui/card.tsx';
import { Dialog } from '../../ui/dialog.tsx';
import { Choices, Select, TextArea } from '../../ui/fields.tsx';
import { Form } from '../../ui/form.tsx';
import { List, ListRow } from '../../ui/list.tsx';
import { SubmitOrCancel } from '../../ui/submit-or-cancel.tsx';
import { say } from '../../ui/toast.tsx';
import { shareOutQuery, type ShareOut } from './share-out-query.ts';

type Correction = Schemas['CorrectShareOut'];

/** What was corrected after the confirmation, for everybody to read. */
export function CorrectionsCard({ shareOut: { corrections } }: { shareOut: ShareOut }) {
  const t = useT();
  const formats = useFormats();
  if (corrections.length === 0) return null;
  return (
    <Card title={t('shareOut.corrected.title')}>
      <List small>
        {corrections.map(({ id, container: { dish, code }, from, to, reason, by, at }) => (
          <ListRow
            key={id}
            title={
              to
                ? t('shareOut.corrected.moved', { dish, code, from: from.name, to: to.name })
                : t('shareOut.corrected.broken', { dish, code, from: from.name })
            }
            detail={t('shareOut.corrected.by', { reason, name: by, at: formats.dayTime(at) })}
          />
        ))}
      </List>
    </Card>
  );
}

/** The coordinator says what was wrong: a line is added, nothing is rewritten. */
export function CorrectContainer({ shareOut }: { shareOut: ShareOut }) {
  const t = useT();
  const [isOpen, setOpen] = useState(false);
  const held = shareOut.parts.flatMap(({ household, containers }) =>
    containers.filter(({ state }) => state === 'sealed').map((container) => ({ household, container })),
  );
  const [containerId, setContainer] = useState('');
  const [kind, setKind] = useState<Correction['kind']>('broken');
  const [to, setTo] = useState('');
  const correct = useCorrect(shareOut, () => setOpen(false));
  const chosen = held.find(({ container }) => container.id === containerId) ?? held[0];
  const others = shareOut.parts.filter(({ household }) => household.id !== chosen?.household.id);
  const receiver = others.find(({ household }) => household.id === to) ?? others[0];
  if (!chosen) return null;
  return (
    <>
      <Button kind="plain" onPress={() => setOpen(true)}>
        {t('shareOut.correct.open')}
      </Button>
      <Dialog title={t('shareOut.correct.title')} isOpen={isOpen} onClose={() => setOpen(false)}>
        <Form
          error={correct.error}
          onSubmit={(data) =>
            correct.mutate({
              containerId: chosen.container.id,
              kind,
              toHouseholdId: kind === 'broken' ? null : (receiver?.household.id ?? null),
              reason: String(data.get('reason')).trim(),
            })
          }
          acts={
            <SubmitOrCancel
              submit={t('shareOut.correct.do')}
              isPending={correct.isPending}
              onCancel={() => setOpen(false)}
            />
          }
        >
          <p>{t('shareOut.correct.words')}</p>
          <Select
            name="containerId"
            label={t('shareOut.correct.container')}
            options={held.map(({ household, container }) => ({
              value: container.id,
              label: t('shareOut.correct.choice', {
                code: container.code,
                dish: container.dish,
                household: household.name,
              }),
            }))}
            value={chosen.container.id}
            onChange={setContainer}
          />
          <Choices
            name="kind"
            label={t('shareOut.correct.kind')}
            options={[
              { value: 'broken', label: t('shareOut.correct.broken') },
              { value: 'other-household', label: t('shareOut.correct.other') },
            ]}
            value={kind}
            onChange={(value) => setKind(value as Correction['kind'])}
          />
          {kind === 'other-household' && (
            <Select
              name="toHouseholdId"
              label={t('shareOut.correct.to')}
              options={others.map(({ household }) => ({ value: household.id, label: household.name }))}
              value={receiver?.household.id ?? ''}
              onChange={setTo}
            />
          )}
          <TextArea
            name="reason"
            label={t('shareOut.correct.reason')}
            required
            minLength={3}
            maxLength={300}
            rows={3}
          />
        </Form>
      </Dialog>
    </>
  );
}

function useCorrect({ shareOutId, roundId }: ShareOut, onDone: () => void) {
  const t = useT();
  const cooperativeId = useCooperativeId();
  const queryClient = useQueryClient();
  return useWrite<Correction, ShareOut>({
    write: (body, headers) =>
      ok<ShareOut>(
        api.POST('/api/cooperatives/{cooperativeId}/share-outs/{shareOutId}/corrections', {
          params: { path: { cooperativeId, shareOutId: shareOutId ?? '' } },
          body,
          headers,
        }),
      ),
    topics: ['share-outs', 'stock', 'accounts', 'swaps'],
    onSuccess: (next) => {
      queryClient.setQueryData(shareOutQuery(cooperativeId, roundId).queryKey, next);
      say(t('shareOut.said.corrected'));
      onDone();
    },
  });
}
