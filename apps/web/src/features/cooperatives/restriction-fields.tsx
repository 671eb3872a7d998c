import { allergenRows, dietRows } from '@frostmoot/calc';
import { useState } from 'react';
import { useFoodWords } from '../../lib/food-words.ts';
import { useT } from '../../lib/locale.tsx';
import { Button } from '../../ui/button.tsx';
import { Note } from '../../ui/card.tsx';
import { Select, TextField, Tick } from '../../ui/fields.tsx';
import { Fields } from '../../ui/form.tsx';
import type { Restriction } from './household-query.ts';

const ALLERGENS = allergenRows.filter(({ within }) => within === undefined).map(({ id }) => id);
const KINDS = allergenRows.filter(({ within }) => within !== undefined).map(({ id }) => id);
const DIETS = dietRows.map(({ id }) => id);
const KNOWN = new Set([...ALLERGENS, ...KINDS, ...DIETS]);
/** "other:" and the word make at most forty letters. */
const LONGEST_WORD = 30;

interface RestrictionFieldsProps {
  value: readonly Restriction[];
  onChange: (value: Restriction[]) => void;
  consent: boolean;
  onConsent: (consent: boolean) => void;
  consentError?: string;
}

/** What a diner must not eat or would rather not: choices from the published lists and diets, how strict, and the consent to keep it. */
export function RestrictionFields({ value, onChange, consent, onConsent, consentError }: RestrictionFieldsProps) {
  const t = useT();
  const chosen = value.map(({ subject }) => subject);
  const others = chosen.filter((id) => !KNOWN.has(id));
  const toggle = (subject: string, on: boolean) =>
    onChange(
      on ? [...value, { subject, strength: 'hard' }] : value.filter((restriction) => restriction.subject !== subject),
    );
  const ticks = { chosen, onToggle: toggle };
  return (
    <>
      <fieldset className="choices">
        <legend>{t('household.restrictions.allergies')}</legend>
        <p className="field-hint">{t('household.restrictions.allergiesHint')}</p>
        <Ticks ids={[...ALLERGENS, ...others]} {...ticks} />
        <details open={KINDS.some((id) => chosen.includes(id)) || undefined}>
          <summary className="restriction-kinds">{t('household.restrictions.kinds')}</summary>
          <Ticks ids={KINDS} {...ticks} />
        </details>
        <OtherSubject chosen={chosen} onAdd={(subject) => toggle(subject, true)} />
      </fieldset>
      <fieldset className="choices">
        <legend>{t('household.restrictions.diets')}</legend>
        <Ticks ids={DIETS} {...ticks} />
      </fieldset>
      {value.length > 0 && (
        <>
          <Strengths value={value} onChange={onChange} />
          <Tick isSelected={consent} onChange={onConsent} error={consentError}>
            {t('household.restrictions.consent')}
          </Tick>
        </>
      )}
      <Note>
        <p>{t('common.notDeclared')}</p>
      </Note>
    </>
  );
}

interface TicksProps {
  ids: readonly string[];
  chosen: readonly string[];
  onToggle: (subject: string, on: boolean) => void;
}

function Ticks({ ids, chosen, onToggle }: TicksProps) {
  const food = useFoodWords();
  return (
    <div className="restriction-ticks">
      {ids.map((id) => (
        <Tick key={id} isSelected={chosen.includes(id)} onChange={(on) => onToggle(id, on)}>
          {food.subject(id)}
        </Tick>
      ))}
    </div>
  );
}

function OtherSubject({ chosen, onAdd }: { chosen: readonly string[]; onAdd: (subject: string) => void }) {
  const t = useT();
  const [word, setWord] = useState('');
  const add = () => {
    const subject = `other:${word.trim()}`;
    if (word.trim() !== '' && !chosen.includes(subject)) onAdd(subject);
    setWord('');
  };
  return (
    <div className="row restriction-other">
      <TextField
        label={t('household.restrictions.other')}
        hint={t('household.restrictions.otherHint')}
        maxLength={LONGEST_WORD}
        value={word}
        onChange={setWord}
      />
      <Button onPress={add} isDisabled={word.trim() === ''}>
        {t('common.add')}
      </Button>
    </div>
  );
}

function Strengths(props: { value: readonly Restriction[]; onChange: (value: Restriction[]) => void }) {
  const t = useT();
  const food = useFoodWords();
  const options = (['hard', 'wish'] as const).map((value) => ({ value, label: t(`household.restrictions.${value}`) }));
  return (
    <fieldset className="choices">
      <legend>{t('household.restrictions.strength')}</legend>
      <p className="field-hint">{t('household.restrictions.strengthHint')}</p>
      <Fields two>
        {props.value.map(({ subject, strength }) => (
          <Select
            key={subject}
            label={food.subject(subject)}
            options={options}
            value={strength}
            onChange={(chosen) =>
              props.onChange(
                props.value.map((each) =>
                  each.subject === subject ? { subject, strength: chosen as Restriction['strength'] } : each,
                ),
              )
            }
          />
        ))}
      </Fields>
    </fieldset>
  );
}
