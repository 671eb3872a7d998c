import { useState } from 'react';
import { useFoodWords } from '../../lib/food-words.ts';
import { useT } from '../../lib/locale.tsx';
import { Button } from '../../ui/button.tsx';
import { TextField, Tick } from '../../ui/fields.tsx';

interface SubjectChoicesProps {
  legend: string;
  hint?: string;
  ids: readonly string[];
  chosen: readonly string[];
  onChange: (chosen: string[]) => void;
  /** Words of one's own may be added ("other:" before them). */
  mayAdd?: boolean;
  words?: (id: string) => string;
}

/** Several of a list of allergens or tags. */
export function SubjectChoices({ legend, hint, ids, chosen, onChange, mayAdd, words }: SubjectChoicesProps) {
  const t = useT();
  const food = useFoodWords();
  const [other, setOther] = useState('');
  const all = [...ids, ...chosen.filter((id) => !ids.includes(id))];
  const add = () => {
    const id = `other:${other.trim()}`;
    if (other.trim() !== '' && !chosen.includes(id)) onChange([...chosen, id]);
    setOther('');
  };
  return (
    <fieldset className="choices">
      <legend>{legend}</legend>
      {hint && <p className="field-hint">{hint}</p>}
      <div className="subjects">
        {all.map((id) => (
          <Tick
            key={id}
            isSelected={chosen.includes(id)}
            onChange={(on) => onChange(on ? [...chosen, id] : chosen.filter((each) => each !== id))}
          >
            {(words ?? food.subject)(id)}
          </Tick>
        ))}
      </div>
      {mayAdd && (
        <div className="row subjects-other">
          <TextField label={t('recipes.otherSubject')} maxLength={30} value={other} onChange={setOther} />
          <Button onPress={add}>{t('common.add')}</Button>
        </div>
      )}
    </fieldset>
  );
}
