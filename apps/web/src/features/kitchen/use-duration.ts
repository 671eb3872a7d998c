import { useFormats } from '../../lib/formats.ts';

/** Minutes as hours and minutes: "1 hr 37 mins". */
export function useDuration(): (minutes: number) => string {
  const formats = useFormats();
  const unit = (count: number, name: 'hour' | 'minute') => formats.unit(String(count), name, { least: 0, most: 0 });
  return (minutes) => {
    const hours = Math.floor(minutes / 60);
    const parts = [hours > 0 && unit(hours, 'hour'), (hours === 0 || minutes % 60 > 0) && unit(minutes % 60, 'minute')];
    return parts.filter(Boolean).join(' ');
  };
}
