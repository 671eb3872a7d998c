import { useT } from '../lib/locale.tsx';
import { DateField, TextField } from './fields.tsx';

export interface LotDraft {
  code: string;
  bestBefore: string;
}

export const NO_LOT: LotDraft = { code: '', bestBefore: '' };

/** The lot as printed on a pack. `within` is the pointer to it in what is sent, with its slash. Pages that use it list the area "food" at their route. */
export function LotFields(props: {
  lot: LotDraft;
  onChange: (lot: LotDraft) => void;
  within?: string;
  label?: string;
  hint?: string;
  required?: boolean;
  tall?: boolean;
}) {
  const t = useT();
  const { lot, onChange, within = '', tall } = props;
  return (
    <>
      <TextField
        name={`${within}code`}
        label={props.label ?? t('food.lot.code')}
        hint={props.hint}
        required={props.required}
        tall={tall}
        maxLength={60}
        autoComplete="off"
        autoCapitalize="characters"
        spellCheck={false}
        value={lot.code}
        onChange={(code) => onChange({ ...lot, code })}
      />
      <DateField
        name={`${within}bestBefore`}
        label={t('food.lot.bestBefore')}
        tall={tall}
        value={lot.bestBefore}
        onChange={(bestBefore) => onChange({ ...lot, bestBefore })}
      />
    </>
  );
}
