import type { ReactNode } from 'react';
import { useFormats } from '../lib/formats.ts';

/** A date as a tear-off: weekday, day, month. `withoutWeekday` for best-before dates. */
export function DateTab({ date, withoutWeekday }: { date: string; withoutWeekday?: boolean }) {
  const formats = useFormats();
  const { weekday, day, month } = formats.dayParts(date);
  return (
    <time className="date-tab" dateTime={date}>
      {!withoutWeekday && <span>{weekday}</span>}
      <span className="date-tab-day">{day}</span>
      <span>{month}</span>
    </time>
  );
}

/** In a list of steps: the step's number, or a tick when it is done, as wide as a date. */
export const StepTab = ({ children }: { children: ReactNode }) => (
  <span className="date-tab date-tab-bare date-tab-number">{children}</span>
);
