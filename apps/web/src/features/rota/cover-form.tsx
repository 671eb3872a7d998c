import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { api, ifMatch, isProblem, ok } from '../../lib/api/client.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { householdsQuery } from '../../lib/household-queries.ts';
import { useLimitWords } from '../../lib/limit-words.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Select } from '../../ui/fields.tsx';
import { Form } from '../../ui/form.tsx';
import { say } from '../../ui/toast.tsx';
import type { Rota, Turn } from './rota-queries.ts';

/** A coordinator puts another household in a turn, after what that breaks was said. */
export function CoverForm({ turn, onDone }: { turn: Turn; onDone: () => void }) {
  const t = useT();
  const words = useLimitWords();
  const { cooperativeId } = useSession();
  const all = useQuery(householdsQuery(cooperativeId)).data ?? [];
  const others = all.filter(({ id, leftOn }) => id !== turn.household?.id && leftOn === null);
  const [chosen, setChosen] = useState('');
  const cover = useWrite<{ householdId: string; despite: boolean }, Rota>({
    write: (body, headers) =>
      ok<Rota>(
        api.POST('/api/cooperatives/{cooperativeId}/rota-turns/{turnId}/cover', {
          params: { path: { cooperativeId, turnId: turn.id } },
          body,
          headers: { ...headers, ...ifMatch(turn.version) },
        }),
      ),
    topics: ['rota', 'accounts', 'rounds'],
    onSuccess: () => {
      say(t('rota.covered'));
      onDone();
    },
  });
  const isHeld = isProblem(cover.error, 'rota-limits');
  const broken = isHeld ? (cover.problem?.errors.flatMap((fault) => words.ofFault(fault) ?? []) ?? []) : [];
  return (
    <Form
      label={t('rota.otherTakes')}
      onSubmit={() => cover.mutate({ householdId: chosen, despite: isHeld })}
      error={isHeld ? null : cover.error}
      acts={
        <Button type="submit" isPending={cover.isPending}>
          {t(isHeld ? 'thisWeek.takeTurn.despite' : 'rota.handOver')}
        </Button>
      }
    >
      <Select
        name="householdId"
        label={t('rota.otherTakes')}
        required
        options={[
          { value: '', label: t('rota.choose') },
          ...others.map(({ id, name }) => ({ value: id, label: name })),
        ]}
        value={chosen}
        onChange={(id) => {
          cover.reset();
          setChosen(id);
        }}
      />
      {broken.length > 0 && (
        <ul>
          {broken.map((sentence) => (
            <li key={sentence}>{sentence}</li>
          ))}
        </ul>
      )}
    </Form>
  );
}
