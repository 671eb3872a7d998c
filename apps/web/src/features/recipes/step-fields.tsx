import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { Select, TextArea, Tick } from '../../ui/fields.tsx';
import { Fields } from '../../ui/form.tsx';
import { DecimalField } from '../../ui/number-fields.tsx';
import { MoveButtons } from './move-buttons.tsx';
import type { StepDraft } from './recipe-draft.ts';

interface StepFieldsProps {
  step: StepDraft;
  earlier: readonly StepDraft[];
  /** other recipes go into this one */
  hasComponents: boolean;
  index: number;
  count: number;
  onChange: (change: Partial<StepDraft>) => void;
  onMove: (by: -1 | 1) => void;
  onRemove: () => void;
}

const PLACES = ['table', 'hob', 'oven', 'cooling'] as const;

/** What the order of work of a cook day takes into account: where it stands, how many hands, a pot, what it waits for. */
function KitchenFields({ step, earlier, hasComponents, index, onChange }: StepFieldsProps) {
  const t = useT();
  const formats = useFormats();
  const waits = step.after === null ? 'before' : 'some';
  return (
    <div className="stack">
      <Fields two>
        <Select
          label={t('recipes.step.place')}
          value={step.place}
          onChange={(value) => onChange({ place: PLACES.find((place) => place === value) ?? 'table' })}
          options={PLACES.map((place) => ({ value: place, label: t(`recipes.step.place.${place}`) }))}
        />
        <DecimalField
          name={`steps/${index}/hands`}
          label={t('recipes.step.hands')}
          decimals={0}
          value={step.hands}
          onChange={(hands) => onChange({ hands })}
        />
        <DecimalField
          name={`steps/${index}/potLitres`}
          label={t('recipes.step.pot')}
          hint={t('recipes.step.potHint')}
          unit={t('recipes.step.litres')}
          value={step.potLitres}
          onChange={(potLitres) => onChange({ potLitres })}
        />
        <DecimalField
          name={`steps/${index}/thawKilograms`}
          label={t('recipes.step.thaw')}
          hint={t('recipes.step.thawHint')}
          unit="kg"
          value={step.thawKilograms}
          onChange={(thawKilograms) => onChange({ thawKilograms })}
        />
      </Fields>
      {earlier.length > 0 && (
        <Select
          label={t('recipes.step.waits')}
          value={waits}
          onChange={(value) => onChange({ after: value === 'before' ? null : [] })}
          options={[
            { value: 'before', label: t('recipes.step.waits.before') },
            { value: 'some', label: t('recipes.step.waits.some') },
          ]}
        />
      )}
      {step.after !== null &&
        earlier.map(({ id, words }, at) => (
          <Tick
            key={id}
            isSelected={step.after?.includes(id)}
            onChange={(on) =>
              onChange({ after: on ? [...(step.after ?? []), id] : (step.after ?? []).filter((each) => each !== id) })
            }
          >
            {t('recipes.step.waitsFor', { number: formats.number(at + 1), words: words.slice(0, 60) })}
          </Tick>
        ))}
      {hasComponents && (
        <Tick isSelected={step.base} onChange={(base) => onChange({ base })}>
          {t('recipes.step.base')}
        </Tick>
      )}
    </div>
  );
}

/** One step: what is done, how long hands are on, how long it goes on its own. */
export function StepFields(props: StepFieldsProps) {
  const { step, index, count, onChange, onMove, onRemove } = props;
  const t = useT();
  const formats = useFormats();
  const name = t('recipes.stepNumber', { number: formats.number(index + 1) });
  return (
    <fieldset className="part-row part-row-two">
      <legend>{name}</legend>
      <div className="part-row-wide">
        <TextArea
          name={`steps/${index}/words`}
          label={t('recipes.whatToDo')}
          rows={2}
          maxLength={1000}
          value={step.words}
          onChange={(words) => onChange({ words })}
        />
      </div>
      <DecimalField
        name={`steps/${index}/activeMinutes`}
        label={t('recipes.minutesHandsOn')}
        decimals={0}
        required
        value={step.activeMinutes}
        onChange={(activeMinutes) => onChange({ activeMinutes })}
      />
      <DecimalField
        name={`steps/${index}/passiveMinutes`}
        label={t('recipes.minutesOnItsOwn')}
        decimals={0}
        required
        value={step.passiveMinutes}
        onChange={(passiveMinutes) => onChange({ passiveMinutes })}
      />
      <details className="part-row-wide">
        <summary>{t('recipes.step.forKitchen')}</summary>
        <KitchenFields {...props} />
      </details>
      <MoveButtons what={name} index={index} count={count} onMove={onMove} onRemove={onRemove} />
    </fieldset>
  );
}
