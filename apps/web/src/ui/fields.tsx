import {
  useId,
  type InputHTMLAttributes,
  type ReactNode,
  type SelectHTMLAttributes,
  type TextareaHTMLAttributes,
} from 'react';
import { Field, FieldError, useField } from './form.tsx';
import { CheckIcon } from './icons.tsx';
import { Checkbox as AriaCheckbox } from 'react-aria-components/Checkbox';

interface Common {
  label: ReactNode;
  name?: string;
  hint?: ReactNode;
  error?: string;
  unit?: ReactNode;
  tall?: boolean;
}

type Native<T> = Omit<T, 'name' | 'id' | 'className' | 'onChange' | 'value'> & {
  value?: string;
  onChange?: (value: string) => void;
};

export type TextFieldProps = Common & Native<InputHTMLAttributes<HTMLInputElement>>;

/** One line of text; `type`, `required`, `minLength`, `autoComplete` and so on are those of `<input>`. */
export function TextField({ label, name, hint, error, unit, tall, onChange, ...rest }: TextFieldProps) {
  const field = useField({ name, error, hint });
  return (
    <Field field={field} label={label} hint={hint} unit={unit} tall={tall}>
      <input
        type="text"
        {...rest}
        {...field.control}
        onChange={(event) => {
          field.touched();
          onChange?.(event.target.value);
        }}
      />
    </Field>
  );
}

export function TextArea(props: Common & Native<TextareaHTMLAttributes<HTMLTextAreaElement>>) {
  const { label, name, hint, error, unit, tall, onChange, ...rest } = props;
  const field = useField({ name, error, hint });
  return (
    <Field field={field} label={label} hint={hint} unit={unit} tall={tall}>
      <textarea
        rows={4}
        {...rest}
        {...field.control}
        onChange={(event) => {
          field.touched();
          onChange?.(event.target.value);
        }}
      />
    </Field>
  );
}

/** A date as ISO text; the browser shows it in the reader's own form. */
export const DateField = (props: TextFieldProps) => <TextField {...props} type="date" />;

export type Option = { value: string; label: string };

export function Select(
  props: Common & Native<SelectHTMLAttributes<HTMLSelectElement>> & { options: readonly Option[] },
) {
  const { label, name, hint, error, unit, tall, onChange, options, ...rest } = props;
  const field = useField({ name, error, hint });
  return (
    <Field field={field} label={label} hint={hint} unit={unit} tall={tall}>
      <select
        {...rest}
        {...field.control}
        onChange={(event) => {
          field.touched();
          onChange?.(event.target.value);
        }}
      >
        {options.map((option) => (
          <option key={option.value} value={option.value}>
            {option.label}
          </option>
        ))}
      </select>
    </Field>
  );
}

/** One of a few, all in sight. */
export function Choices(props: {
  label: ReactNode;
  name: string;
  options: readonly Option[];
  value?: string;
  defaultValue?: string;
  onChange?: (value: string) => void;
  error?: string;
}) {
  const field = useField(props);
  return (
    <fieldset className="choices" aria-describedby={field.control['aria-describedby']}>
      <legend>{props.label}</legend>
      {props.options.map((option) => (
        <label className="choice" key={option.value}>
          <input
            type="radio"
            name={props.name}
            value={option.value}
            checked={props.value === undefined ? undefined : props.value === option.value}
            defaultChecked={props.value === undefined ? props.defaultValue === option.value : undefined}
            onChange={() => props.onChange?.(option.value)}
          />
          {option.label}
        </label>
      ))}
      {field.error && <FieldError id={field.id}>{field.error}</FieldError>}
    </fieldset>
  );
}

export interface TickProps {
  children: ReactNode;
  name?: string;
  value?: string;
  isSelected?: boolean;
  defaultSelected?: boolean;
  onChange?: (selected: boolean) => void;
  isDisabled?: boolean;
  /** 64 px, for the shop and the kitchen. */
  tall?: boolean;
  /** Where the words stand elsewhere, the accessible name. */
  'aria-label'?: string;
  error?: string;
}

export function Tick({ children, tall, error, ...rest }: TickProps) {
  const id = useId();
  return (
    <>
      <AriaCheckbox
        {...rest}
        isInvalid={error !== undefined}
        aria-describedby={error === undefined ? undefined : `${id}-error`}
        className={tall ? 'tick tick-tall' : 'tick'}
      >
        {({ isSelected }) => (
          <>
            <span className="tick-box">{isSelected && <CheckIcon size={tall ? 30 : 20} />}</span>
            <span>{children}</span>
          </>
        )}
      </AriaCheckbox>
      {error !== undefined && <FieldError id={id}>{error}</FieldError>}
    </>
  );
}
