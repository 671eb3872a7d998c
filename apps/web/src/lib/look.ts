import { useSyncExternalStore } from 'react';
import { readSetting, writeSetting } from './settings.ts';

export type Look = 'system' | 'light' | 'dark';
export type Contrast = 'system' | 'more';

const listeners = new Set<() => void>();
const subscribe = (listener: () => void) => {
  listeners.add(listener);
  return () => listeners.delete(listener);
};
const root = () => document.documentElement;

const currentLook = (): Look => (root().dataset.look as Look | undefined) ?? 'system';
const currentContrast = (): Contrast => (root().dataset.contrast as Contrast | undefined) ?? 'system';

function choose(attribute: 'look' | 'contrast', value: string): void {
  const chosen = value === 'system' ? null : value;
  if (chosen === null) delete root().dataset[attribute];
  else root().dataset[attribute] = chosen;
  writeSetting(attribute, chosen);
  for (const listener of listeners) listener();
}

/** Light or dark and more contrast; "system" follows the device. The values live as data attributes on the root element. */
export function useLook() {
  return {
    look: useSyncExternalStore(subscribe, currentLook),
    contrast: useSyncExternalStore(subscribe, currentContrast),
    setLook: (look: Look) => choose('look', look),
    setContrast: (contrast: Contrast) => choose('contrast', contrast),
  };
}

/** Takes over what look.js read, for pages that were opened without it. */
export function restoreLook(): void {
  const look = readSetting('look');
  if (look === 'light' || look === 'dark') root().dataset.look = look;
  if (readSetting('contrast') === 'more') root().dataset.contrast = 'more';
}
