import { currencyDigits } from '@frostmoot/calc';
import type { Option } from '../../ui/fields.tsx';

/** The currencies of ISO 4217 by code, each with its name in the reader's language. */
export function currencyOptions(locale: string): Option[] {
  const names = new Intl.DisplayNames(locale, { type: 'currency' });
  return [...currencyDigits.keys()].sort().map((value) => ({
    value,
    label: `${value} · ${names.of(value) ?? value}`,
  }));
}

/** IANA zones, and the one of this device. */
export function timeZoneOptions(): { options: Option[]; here: string } {
  const here = Intl.DateTimeFormat().resolvedOptions().timeZone;
  const known = new Set([...Intl.supportedValuesOf('timeZone'), here, 'UTC']);
  return { here, options: [...known].sort().map((value) => ({ value, label: value.replaceAll('_', ' ') })) };
}
