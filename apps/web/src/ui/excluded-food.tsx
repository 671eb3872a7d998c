import { useFoodWords } from '../lib/food-words.ts';
import { useFormats } from '../lib/formats.ts';
import { useT } from '../lib/locale.tsx';
import { Note } from './card.tsx';
import { Dialog } from './dialog.tsx';
import { TextArea } from './fields.tsx';
import { Form } from './form.tsx';
import { StateMark } from './state-mark.tsx';
import { SubmitOrCancel } from './submit-or-cancel.tsx';

export interface ExcludedFoodProps {
  isOpen: boolean;
  onClose: () => void;
  /** The dish or dishes that are about to come into the household. */
  what: string;
  /** Subjects as the server names them, "celery, milk". */
  subjects: string;
  /** The ingredients that bring it, as the server names them: "Plain flour (Shortcrust pastry)". */
  ingredients?: string;
  /** "Claim it all the same" */
  confirm: string;
  isPending?: boolean;
  onConfirm: (words: string) => void;
  /** A refusal of the second attempt, other than this warning. */
  error?: unknown;
}

/** A warning that takes a second step: somebody of the household must not eat it, so what was agreed is written down and kept. */
export function ExcludedFood(props: ExcludedFoodProps) {
  const t = useT();
  const formats = useFormats();
  const food = useFoodWords();
  const named = formats.list(
    props.subjects
      .split(', ')
      .filter(Boolean)
      .map((subject) => food.subject(subject)),
  );
  return (
    <Dialog title={t('food.excluded.title')} isOpen={props.isOpen} onClose={props.onClose}>
      <Form
        error={props.error}
        onSubmit={(data) => props.onConfirm(String(data.get('confirmWords')).trim())}
        acts={<SubmitOrCancel submit={props.confirm} isPending={props.isPending ?? false} onCancel={props.onClose} />}
      >
        <StateMark state="problem">
          <strong>{t('food.excluded.because', { what: props.what, subjects: named })}</strong>
        </StateMark>
        {props.ingredients && <p>{t('food.excluded.brings', { ingredients: props.ingredients })}</p>}
        <TextArea
          label={t('food.excluded.words')}
          hint={t('food.excluded.wordsHint')}
          name="confirmWords"
          required
          minLength={3}
          maxLength={200}
          rows={3}
        />
        <Note>
          <p>{t('common.notDeclared')}</p>
        </Note>
      </Form>
    </Dialog>
  );
}
