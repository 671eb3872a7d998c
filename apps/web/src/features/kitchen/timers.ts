import { useCallback, useEffect, useState } from 'react';

const STORE = 'frostmoot.timers';

/** A timer of this device: what it is for, and from when to when. */
export interface Timer {
  id: string;
  /** the cook day */
  day: string;
  name: string;
  from: number;
  until: number;
}

function read(): Timer[] {
  try {
    const kept: unknown = JSON.parse(localStorage.getItem(STORE) ?? '[]');
    return Array.isArray(kept) ? (kept as Timer[]) : [];
  } catch {
    return []; // Storage is refused in some private windows; timers then last as long as the page.
  }
}

/** What is left of a timer in whole seconds; nil when it has run out. */
export const secondsLeft = ({ until }: Timer, now: number): number => Math.max(0, Math.ceil((until - now) / 1000));

/** The part that has run, 0 to 1. */
export const partRun = ({ from, until }: Timer, now: number): number =>
  until <= from ? 1 : Math.min(1, Math.max(0, (now - from) / (until - from)));

/** "17:42", with hours "1:02:10". */
export function clockOf(seconds: number): string {
  const two = (value: number): string => String(value).padStart(2, '0');
  const [hours, minutes] = [Math.floor(seconds / 3600), Math.floor((seconds % 3600) / 60)];
  return hours > 0 ? `${hours}:${two(minutes)}:${two(seconds % 60)}` : `${minutes}:${two(seconds % 60)}`;
}

/** Timers of a cook day, kept on this device: a reload does not lose them, since they are kept as times and not counted down. */
export function useTimers(day: string) {
  const [all, setAll] = useState(read);
  const change = useCallback((next: (old: Timer[]) => Timer[]) => {
    setAll((old) => {
      const changed = next(old);
      try {
        localStorage.setItem(STORE, JSON.stringify(changed));
      } catch {
        // As above.
      }
      return changed;
    });
  }, []);
  useEffect(() => {
    const readAgain = ({ key }: StorageEvent) => key === STORE && setAll(read());
    addEventListener('storage', readAgain);
    return () => removeEventListener('storage', readAgain);
  }, []);
  const start = (name: string, minutes: number, now = Date.now()) =>
    change((old) => [...old, { id: crypto.randomUUID(), day, name, from: now, until: now + minutes * 60_000 }]);
  const stop = (id: string) => change((old) => old.filter((timer) => timer.id !== id));
  const stopNamed = (name: string) => change((old) => old.filter((timer) => timer.day !== day || timer.name !== name));
  const timers = all.filter((timer) => timer.day === day).sort((a, b) => a.until - b.until);
  return { timers, start, stop, stopNamed };
}
export type Timers = ReturnType<typeof useTimers>;
