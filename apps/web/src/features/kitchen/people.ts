import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import type { RunSheet } from './run-sheet-query.ts';

/** What the people of the day are called: by household, numbered where one household brings several. */
export function usePersonName({ people }: RunSheet): (number: number) => string {
  const t = useT();
  const formats = useFormats();
  return (number) => {
    const person = people.find((each) => each.number === number);
    if (!person?.household) return t('kitchen.run.person', { number: formats.number(number) });
    const household = person.household.name;
    return person.place === 0
      ? household
      : t('kitchen.run.personOf', { household, number: formats.number(person.place) });
  };
}
