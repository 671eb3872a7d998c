import { useKeptState } from '../../lib/kept-state.ts';
import type { Noted, Notes } from './shopping.ts';

/** What the buyer noted in the shop (weights, prices at the shelf), kept on the device until the receipt is entered. */
export function useNotes(roundId: string) {
  const [notes, setNotes] = useKeptState<Notes>(`noted.${roundId}`, () => ({}));
  return {
    notes,
    note: (key: string, noted: Noted) => setNotes((old) => ({ ...old, [key]: noted })),
    forget: (keys: readonly string[]) =>
      setNotes((old) => Object.fromEntries(Object.entries(old).filter(([key]) => !keys.includes(key)))),
  };
}
export type NotesInHand = ReturnType<typeof useNotes>;
