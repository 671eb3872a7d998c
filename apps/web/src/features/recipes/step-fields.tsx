import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { TextArea } from '../../ui/fields.tsx';
import { DecimalField } from '../../ui/number-fields.tsx';
import { MoveButtons } from './move-buttons.tsx';
import type { StepDraft } from './recipe-draft.ts';

interface StepFieldsProps {
  step: StepDraft;
  index: number;
  count: number;
  onChange: (change: Partial<StepDraft>) => void;
  onMove: (by: -1 | 1) => void;
  onRemove: () => void;
}

/** One step: what is done, how long hands are on, how long it goes on its own. */
export function StepFields({ step, index, count, onChange, onMove, onRemove }: StepFieldsProps) {
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
      <MoveButtons what={name} index={index} count={count} onMove={onMove} onRemove={onRemove} />
    </fieldset>
  );
}
