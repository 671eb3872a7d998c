import { useFormats } from '../../lib/formats.ts';

/** A year in the digits of the language, never grouped. */
export function useYear(): (year: number) => string {
  const { locale } = useFormats();
  const format = new Intl.NumberFormat(locale, { useGrouping: false });
  return (year) => format.format(year);
}
