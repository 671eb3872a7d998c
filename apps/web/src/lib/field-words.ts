import { findMessage } from './messages/catalogue.ts';
import { useLocale } from './locale.tsx';
import type { FieldProblem } from './api/problem.ts';
import type { MessageKey } from './messages/areas.ts';
import type { MessageValues } from './messages/format-message.ts';

type NativeField = HTMLInputElement | HTMLSelectElement | HTMLTextAreaElement;

const isField = (element: Element): element is NativeField =>
  element instanceof HTMLInputElement || element instanceof HTMLSelectElement || element instanceof HTMLTextAreaElement;

/** Words for what is wrong with a field: by the browser's own checks before sending, and by the server's answer after. */
export function useFieldWords() {
  const { t, language } = useLocale();

  const wrong = (field: NativeField): string | undefined => {
    if (field.validity.valid) return undefined;
    // A number field puts its own words there when it could not read what was typed.
    if (field.validity.customError) return field.validationMessage;
    if (field.validity.valueMissing) return t('common.field.required');
    if (field.validity.typeMismatch && field.type === 'email') return t('common.field.email');
    if (field.validity.tooShort) return t('common.field.tooShort', { least: (field as HTMLInputElement).minLength });
    return t('common.field.wrong');
  };

  return {
    checkForm(form: HTMLFormElement): Record<string, string> {
      const found: Record<string, string> = {};
      for (const element of form.elements) {
        if (!isField(element) || !element.name || element.disabled) continue;
        const words = wrong(element);
        if (words) found[element.name] = words;
      }
      return found;
    },
    refused(error: FieldProblem): string {
      const keys = [`problems.field.${error.code ?? ''}`, `problems.${error.code ?? ''}`];
      const known = keys.find((key) => findMessage(language, key) !== undefined);
      if (known) return t(known as MessageKey, error.params as MessageValues);
      // The server's own sentence is English.
      return language === 'en' && error.detail ? error.detail : t('common.field.wrong');
    },
  };
}
