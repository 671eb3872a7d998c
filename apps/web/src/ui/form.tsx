import { createContext, use, useEffect, useId, useRef, useState, type FormEvent, type ReactNode } from 'react';
import { isProblem } from '../lib/api/client.ts';
import type { ApiProblem } from '../lib/api/problem.ts';
import { useFieldWords } from '../lib/field-words.ts';
import { Problem } from './problem-box.tsx';
import { StateShapeIcon } from './state-mark.tsx';

type FieldErrors = Readonly<Record<string, string>>;
const FormErrors = createContext<{ errors: FieldErrors; clear: (name: string) => void }>({
  errors: {},
  clear: () => {},
});

/** The field's name is the JSON pointer of what it sends, without the first slash: "email", "lines/0/priceMinor". */
const nameOf = (pointer: string): string => pointer.replace(/^\//, '');

function errorsOf(problem: ApiProblem | null | undefined, words: ReturnType<typeof useFieldWords>): FieldErrors {
  return Object.fromEntries((problem?.errors ?? []).map((error) => [nameOf(error.pointer), words.refused(error)]));
}

export interface FormProps {
  onSubmit: (data: FormData) => void;
  /** Checks beyond a single field (dates in order): false keeps the form open, and the first field that then has an error takes the focus. */
  isReady?: () => boolean;
  /** How sending it failed: what the server refused with a pointer goes beside its field, everything else above the acts. */
  error?: unknown;
  children: ReactNode;
  /** Buttons at the end. */
  acts?: ReactNode;
  label?: string;
}

/** Errors stand beside their fields, the first one takes the focus, and what was typed stays. */
export function Form({ onSubmit, isReady, error, children, acts, label }: FormProps) {
  const problem = isProblem(error) ? error : null;
  const form = useRef<HTMLFormElement>(null);
  const words = useFieldWords();
  const [errors, setErrors] = useState<FieldErrors>({});
  const [failedSubmits, setFailedSubmits] = useState(0);
  const [seen, setSeen] = useState(problem);
  if (seen !== problem) {
    setSeen(problem);
    setErrors(errorsOf(problem, words));
    if (problem) setFailedSubmits(failedSubmits + 1);
  }
  useEffect(() => {
    if (failedSubmits > 0) form.current?.querySelector<HTMLElement>('[aria-invalid="true"]')?.focus();
  }, [failedSubmits]);

  const submit = (event: FormEvent<HTMLFormElement>) => {
    event.preventDefault();
    const found = words.checkForm(event.currentTarget);
    setErrors(found);
    const isHeld = Object.keys(found).length > 0 || isReady?.() === false;
    if (isHeld) setFailedSubmits(failedSubmits + 1);
    else onSubmit(new FormData(event.currentTarget));
  };
  const clear = (name: string) => {
    if (errors[name] === undefined) return;
    const { [name]: _fixed, ...rest } = errors;
    setErrors(rest);
  };
  // A problem all of whose parts are shown beside fields needs no box; one with a pointer to something without a field does.
  const isPlaced =
    problem !== null &&
    problem.errors.length > 0 &&
    Object.keys(errorsOf(problem, words)).every(hasField(form.current));
  return (
    <form ref={form} className="stack" noValidate onSubmit={submit} aria-label={label}>
      <FormErrors value={{ errors, clear }}>{children}</FormErrors>
      {!isPlaced && <Problem error={error} />}
      {acts && <div className="row form-acts">{acts}</div>}
    </form>
  );
}

const hasField = (form: HTMLFormElement | null) => (name: string) => form?.elements.namedItem(name) != null;

/** For a field: its error, ids that tie label, hint and error to it, and what to spread on the control. */
export function useField(props: { name?: string; error?: string; hint?: ReactNode }) {
  const id = useId();
  const { errors, clear } = use(FormErrors);
  const error = props.error ?? (props.name === undefined ? undefined : errors[props.name]);
  const described = [props.hint && `${id}-hint`, error && `${id}-error`].filter(Boolean).join(' ');
  return {
    id,
    error,
    touched: () => props.name !== undefined && clear(props.name),
    control: {
      id,
      name: props.name,
      'aria-invalid': error ? true : undefined,
      'aria-describedby': described || undefined,
    },
  };
}

export function FieldError({ id, children }: { id: string; children: ReactNode }) {
  return (
    <span className="field-error" id={`${id}-error`}>
      <StateShapeIcon state="problem" size={15} />
      <span>{children}</span>
    </span>
  );
}

/** Label above, hint below it, the control, then its error. */
export function Field(props: {
  field: ReturnType<typeof useField>;
  label: ReactNode;
  hint?: ReactNode;
  unit?: ReactNode;
  tall?: boolean;
  children: ReactNode;
}) {
  const { field, label, hint, unit, tall } = props;
  return (
    <div className="field">
      <label className="field-label" htmlFor={field.id}>
        {label}
      </label>
      {hint && (
        <span className="field-hint" id={`${field.id}-hint`}>
          {hint}
        </span>
      )}
      <div className={tall ? 'field-box field-box-tall' : 'field-box'} data-invalid={field.error ? '' : undefined}>
        {props.children}
        {unit && <bdi className="field-unit">{unit}</bdi>}
      </div>
      {field.error && <FieldError id={field.id}>{field.error}</FieldError>}
    </div>
  );
}

export const Fields = ({ children, two }: { children: ReactNode; two?: boolean }) => (
  <div className={two ? 'fields fields-two' : 'fields'}>{children}</div>
);
