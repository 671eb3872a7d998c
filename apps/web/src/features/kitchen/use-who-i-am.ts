import { useState } from 'react';
import { useSession } from '../../lib/session.tsx';
import type { RunSheet } from './run-sheet-query.ts';

const STORE = 'frostmoot.whoIAm.';

function read(cookDayId: string): string | null {
  try {
    return localStorage.getItem(STORE + cookDayId);
  } catch {
    return null; // Storage is refused in some private windows; the choice then lasts as long as the page.
  }
}

/** Which person of the day holds this device: as chosen on it, else the first of one's own household, else everybody (null). */
export function useWhoIAm({ cookDayId, people }: RunSheet): [number | null, (person: number | null) => void] {
  const { householdId } = useSession();
  const [chosen, setChosen] = useState(() => read(cookDayId));
  const own = people.find(({ household }) => household?.id === householdId)?.number ?? null;
  const number = chosen === null ? own : chosen === '' ? null : Number(chosen);
  const person =
    number !== null && people.some((each) => each.number === number) ? number : people.length === 1 ? 1 : null;
  const choose = (next: number | null) => {
    const text = next === null ? '' : String(next);
    setChosen(text);
    try {
      localStorage.setItem(STORE + cookDayId, text);
    } catch {
      // As above.
    }
  };
  return [person, choose];
}
