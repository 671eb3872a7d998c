import { useState } from 'react';
import { useT } from '../../lib/locale.tsx';
import { Button } from '../../ui/button.tsx';
import { Dialog } from '../../ui/dialog.tsx';
import { Choices, TextField } from '../../ui/fields.tsx';
import { Form } from '../../ui/form.tsx';
import { SubmitOrCancel } from '../../ui/submit-or-cancel.tsx';
import type { Container } from './freezer-query.ts';
import type { Asked } from './use-first-card.tsx';
import type { Stock } from './use-stock.ts';

interface DialogProps {
  container: Container;
  stock: Stock;
  onDone: () => void;
}

/** Moving and throwing away ask for a word each before they are done. */
export function ContainerDialogs(props: {
  asked: Asked | null;
  places: readonly string[];
  stock: Stock;
  onDone: () => void;
}) {
  const { asked, places, stock, onDone } = props;
  const t = useT();
  const container = asked?.row.first;
  const title =
    asked && t(asked.kind === 'move' ? 'freezer.moveTitle' : 'freezer.throwAwayTitle', { dish: asked.row.first.dish });
  return (
    <Dialog title={title ?? ''} isOpen={asked !== null} onClose={onDone}>
      {container && asked.kind === 'move' && <MoveForm {...{ container, places, stock, onDone }} />}
      {container && asked.kind === 'throwAway' && <ThrowAwayForm {...{ container, stock, onDone }} />}
    </Dialog>
  );
}

function MoveForm({ container, places, stock: { move }, onDone }: DialogProps & { places: readonly string[] }) {
  const t = useT();
  const [place, setPlace] = useState(container.place);
  return (
    <Form
      error={move.error}
      onSubmit={() => move.mutate({ container, place: place.trim() }, { onSuccess: onDone })}
      acts={<SubmitOrCancel submit={t('freezer.moveDo')} isPending={move.isPending} onCancel={onDone} />}
    >
      <TextField
        label={t('freezer.place')}
        hint={t('freezer.placeHint')}
        name="place"
        maxLength={80}
        value={place}
        onChange={setPlace}
      />
      {places.length > 0 && (
        <div className="row" role="group" aria-label={t('freezer.places')}>
          {places.map((known) => (
            <Button key={known} onPress={() => setPlace(known)}>
              {known}
            </Button>
          ))}
        </div>
      )}
    </Form>
  );
}

const REASONS = ['thawed', 'too-old', 'tasted', 'damaged', 'recall', 'other'] as const;

/** The reason is kept as a code, so that everybody reads it in their own language, with words beside it if there are any. */
function ThrowAwayForm({ container, stock: { end }, onDone }: DialogProps) {
  const t = useT();
  const [reasonCode, setReasonCode] = useState<(typeof REASONS)[number]>('thawed');
  const [words, setWords] = useState('');
  return (
    <Form
      error={end.error}
      onSubmit={() =>
        end.mutate({ container, state: 'thrown-away', reasonCode, reason: words.trim() }, { onSuccess: onDone })
      }
      acts={<SubmitOrCancel submit={t('freezer.throwAwayDo')} isPending={end.isPending} onCancel={onDone} />}
    >
      <Choices
        label={t('freezer.why')}
        name="reasonCode"
        value={reasonCode}
        options={REASONS.map((value) => ({ value, label: t(`freezer.reason.${value}`) }))}
        onChange={(next) => setReasonCode(next as typeof reasonCode)}
      />
      <TextField
        label={t('freezer.reasonWords')}
        hint={reasonCode === 'other' ? undefined : t('freezer.reasonWordsHint')}
        name="reason"
        required={reasonCode === 'other'}
        maxLength={200}
        value={words}
        onChange={setWords}
      />
    </Form>
  );
}
