import { useState } from 'react';
import { api, isProblem, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useFormats } from '../../lib/formats.ts';
import { useLimitWords } from '../../lib/limit-words.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Dialog } from '../../ui/dialog.tsx';
import { Select, TextField } from '../../ui/fields.tsx';
import { Form } from '../../ui/form.tsx';
import { SubmitOrCancel } from '../../ui/submit-or-cancel.tsx';
import { say } from '../../ui/toast.tsx';
import type { Turn, TurnSwap } from './rota-queries.ts';

interface AskSwapProps {
  turn: Turn;
  mine: readonly Turn[];
  others: readonly Turn[];
}

/** Asks another household to swap one of its turns for one of ours. */
export function AskSwap({ turn, mine, others }: AskSwapProps) {
  const t = useT();
  const formats = useFormats();
  const limits = useLimitWords();
  const { cooperativeId, householdId } = useSession();
  const [isOpen, setOpen] = useState(false);
  const [wanted, setWanted] = useState('');
  const [words, setWords] = useState('');
  const propose = useWrite<Schemas['ProposeTurnSwap'], TurnSwap>({
    write: (body, headers) =>
      ok<TurnSwap>(
        api.POST('/api/cooperatives/{cooperativeId}/turn-swaps', {
          params: { path: { cooperativeId } },
          body,
          headers,
        }),
      ),
    topics: ['rota'],
    onSuccess: ({ to }) => {
      setOpen(false);
      say(t('rota.asked', { household: to.name }));
    },
  });
  // Nobody has two turns in one week, neither we in theirs nor they in ours.
  const ourWeeks = new Set(mine.map(({ weekOf }) => weekOf));
  const theirs = new Set(others.filter(({ weekOf }) => weekOf === turn.weekOf).map(({ household }) => household?.id));
  const choices = others.filter(({ weekOf, household }) => !ourWeeks.has(weekOf) && !theirs.has(household?.id));
  if (choices.length === 0) return null;
  const refused = isProblem(propose.error, 'rota-limits')
    ? (propose.problem?.errors.flatMap((fault) => limits.ofFault(fault) ?? []) ?? [])
    : [];
  const close = () => {
    propose.reset();
    setOpen(false);
  };
  return (
    <>
      <Button onPress={() => setOpen(true)}>
        {t('rota.askSwap')}
        <span className="hidden"> {formats.day(turn.weekOf, 'short')}</span>
      </Button>
      <Dialog title={t('rota.askTitle', { date: formats.day(turn.weekOf, 'short') })} isOpen={isOpen} onClose={close}>
        <Form
          label={t('rota.askSwap')}
          onSubmit={() =>
            propose.mutate({ fromHouseholdId: householdId, givesTurnId: turn.id, getsTurnId: wanted, words })
          }
          error={propose.error}
          acts={<SubmitOrCancel submit={t('rota.propose')} isPending={propose.isPending} onCancel={close} />}
        >
          <Select
            name="getsTurnId"
            label={t('rota.forWhich')}
            required
            options={[
              { value: '', label: t('rota.choose') },
              ...choices.map(({ id, weekOf, household }) => ({
                value: id,
                label: t('rota.turnOf', { household: household?.name ?? '', date: formats.day(weekOf, 'short') }),
              })),
            ]}
            value={wanted}
            onChange={(id) => {
              propose.reset();
              setWanted(id);
            }}
          />
          <TextField name="words" label={t('rota.words')} maxLength={300} value={words} onChange={setWords} />
          {refused.map((sentence) => (
            <p key={sentence}>{sentence}</p>
          ))}
        </Form>
      </Dialog>
    </>
  );
}
