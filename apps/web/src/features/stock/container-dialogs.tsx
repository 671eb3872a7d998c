import { useState } from 'react';
import { useT } from '../../lib/locale.tsx';
import { Button } from '../../ui/button.tsx';
import { Dialog } from '../../ui/dialog.tsx';
import { Choices, TextField } from '../../ui/fields.tsx';
import { Form } from '../../ui/form.tsx';
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
      problem={move.problem}
      onSubmit={() => move.mutate({ container, place: place.trim() }, { onSuccess: onDone })}
      acts={<Acts confirm={t('freezer.moveDo')} isPending={move.isPending} onDone={onDone} />}
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

const REASONS = ['thawed', 'tooOld', 'tasted', 'damaged', 'recall', 'other'] as const;

function ThrowAwayForm({ container, stock: { end }, onDone }: DialogProps) {
  const t = useT();
  const [reason, setReason] = useState<(typeof REASONS)[number]>('thawed');
  const [words, setWords] = useState('');
  const said = reason === 'other' ? words.trim() : t(`freezer.reason.${reason}`);
  return (
    <Form
      problem={end.problem}
      onSubmit={() => end.mutate({ container, state: 'thrown-away', reason: said }, { onSuccess: onDone })}
      acts={<Acts confirm={t('freezer.throwAwayDo')} isPending={end.isPending} onDone={onDone} />}
    >
      <Choices
        label={t('freezer.why')}
        name="reasonChoice"
        value={reason}
        options={REASONS.map((value) => ({ value, label: t(`freezer.reason.${value}`) }))}
        onChange={(next) => setReason(next as typeof reason)}
      />
      {reason === 'other' && (
        <TextField
          label={t('freezer.reasonWords')}
          name="reason"
          required
          maxLength={200}
          value={words}
          onChange={setWords}
        />
      )}
    </Form>
  );
}

function Acts({ confirm, isPending, onDone }: { confirm: string; isPending: boolean; onDone: () => void }) {
  const t = useT();
  return (
    <>
      <Button type="submit" isPending={isPending}>
        {confirm}
      </Button>
      <Button kind="plain" onPress={onDone}>
        {t('common.cancel')}
      </Button>
    </>
  );
}
