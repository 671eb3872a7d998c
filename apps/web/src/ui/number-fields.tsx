import { useEffect, useRef, useState, type ReactNode } from 'react';
import { decimalToMinor, minorToDecimal, readDecimal } from '../lib/format/typed-number.ts';
import { formatTyped } from '../lib/format/numbers.ts';
import { useFormats } from '../lib/formats.ts';
import { useT } from '../lib/locale.tsx';
import { useSession } from '../lib/session.tsx';
import { Field, useField } from './form.tsx';

interface DecimalFieldProps {
  label: ReactNode;
  name?: string;
  hint?: ReactNode;
  /** Plain decimal text ("4.36"), or null while there is none. */
  value: string | null;
  /** Null while what is typed is empty or no number. */
  onChange: (value: string | null) => void;
  unit?: ReactNode;
  tall?: boolean;
  error?: string;
  /** Most digits after the point. */
  decimals?: number;
  /** Digits after the point that are always shown. */
  leastDecimals?: number;
  required?: boolean;
  allowNegative?: boolean;
  min?: string;
}

/** An exact decimal: reads comma, point and Arabic digits, and on leaving shows the number as it was understood. */
export function DecimalField({
  value,
  onChange,
  decimals = 3,
  leastDecimals = 0,
  allowNegative,
  ...props
}: DecimalFieldProps) {
  const t = useT();
  const formats = useFormats();
  const shown = (decimal: string | null) =>
    decimal === null ? '' : formatTyped(decimal, formats.locale, { least: leastDecimals, most: decimals });
  const [typed, setTyped] = useState<string | null>(null);
  const text = typed ?? shown(value);
  const refused = typed !== null && typed.trim() !== '' && value === null;
  const words = refused ? t('common.field.number', { decimals }) : '';
  const field = useField({ name: props.name, hint: props.hint, error: props.error ?? (words || undefined) });
  const input = useRef<HTMLInputElement>(null);
  useEffect(() => {
    // So that the form refuses it too, in the same words.
    input.current?.setCustomValidity(words);
  }, [words]);
  const accept = (next: string): string | null => {
    const decimal = readDecimal(next);
    if (decimal === null || (!allowNegative && decimal.startsWith('-'))) return null;
    return (decimal.split('.')[1]?.length ?? 0) > decimals ? null : decimal;
  };
  return (
    <Field field={field} label={props.label} hint={props.hint} unit={props.unit} tall={props.tall}>
      <input
        ref={input}
        {...field.control}
        type="text"
        inputMode={decimals > 0 ? 'decimal' : 'numeric'}
        autoComplete="off"
        required={props.required}
        value={text}
        onChange={(event) => {
          field.touched();
          setTyped(event.target.value);
          onChange(accept(event.target.value));
        }}
        onBlur={() => {
          // What could not be read stays as typed, beside its error.
          if (!refused) setTyped(null);
        }}
      />
    </Field>
  );
}

/** Kilograms by default; 64 px with `tall`. */
export const WeightField = (props: DecimalFieldProps) => <DecimalField unit="kg" {...props} />;

/** Degrees Celsius, one decimal, below nil too. */
export const ReadingField = (props: DecimalFieldProps) => (
  <DecimalField unit="°C" decimals={1} allowNegative {...props} />
);

export interface MoneyFieldProps extends Omit<DecimalFieldProps, 'value' | 'onChange' | 'decimals'> {
  /** Minor units as text ("2790"), or null while there is none. */
  value: string | null;
  onChange: (minor: string | null) => void;
}

/** Money in minor units of the cooperative's currency, typed as people write it. */
export function MoneyField({ value, onChange, ...props }: MoneyFieldProps) {
  const { cooperative } = useSession();
  const formats = useFormats();
  return (
    <DecimalField
      unit={formats.currencySymbol}
      {...props}
      decimals={cooperative.currencyDigits}
      leastDecimals={cooperative.currencyDigits}
      value={value === null ? null : minorToDecimal(value, cooperative.currencyDigits)}
      onChange={(decimal) => onChange(decimal === null ? null : decimalToMinor(decimal, cooperative.currencyDigits))}
    />
  );
}
