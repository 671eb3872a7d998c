import { useCallback, useState } from 'react';

const PREFIX = 'frostmoot.kept.';

function read<T>(name: string): T | undefined {
  try {
    const text = sessionStorage.getItem(PREFIX + name);
    return text === null ? undefined : (JSON.parse(text) as T);
  } catch {
    return undefined; // Storage is refused in some private windows; what is typed then lasts as long as the page.
  }
}

function write(name: string, value: unknown): void {
  try {
    if (value === undefined) sessionStorage.removeItem(PREFIX + name);
    else sessionStorage.setItem(PREFIX + name, JSON.stringify(value));
  } catch {
    // As above.
  }
}

/**
 * State that a reload of the page does not lose: what is being typed, what was ticked off in the kitchen. Kept on this device only and gone
 * with the tab or when the person signs out. `basis` is what the state was begun from; when that has changed, it is begun anew.
 */
export function useKeptState<T>(name: string, initial: () => T, basis = '') {
  const [kept, setKept] = useState<{ basis: string; value: T }>(() => {
    const found = read<{ basis: string; value: T }>(name);
    return found?.basis === basis ? found : { basis, value: initial() };
  });
  const value = kept.basis === basis ? kept.value : initial();
  const setValue = useCallback(
    (change: (old: T) => T) =>
      setKept((old) => {
        const next = { basis, value: change(old.basis === basis ? old.value : initial()) };
        write(name, next);
        return next;
      }),
    // eslint-disable-next-line react-hooks/exhaustive-deps -- what the state begins with follows from its basis
    [name, basis],
  );
  const forget = useCallback(() => write(name, undefined), [name]);
  return [value, setValue, forget] as const;
}

/** Forgets everything that was kept, when a person signs out. */
export function forgetKept(): void {
  try {
    const names = Object.keys(sessionStorage).filter((name) => name.startsWith(PREFIX));
    for (const name of names) sessionStorage.removeItem(name);
  } catch {
    // As above.
  }
}
