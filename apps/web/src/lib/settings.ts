/** What a person chose on this device; never anything about the cooperative. */
export type Setting = 'look' | 'contrast' | 'language' | 'cooperative' | 'labelSheet';

const nameOf = (setting: Setting): string => `frostmoot.${setting}`;

export function readSetting(setting: Setting): string | null {
  try {
    return localStorage.getItem(nameOf(setting));
  } catch {
    return null; // Storage is refused in some private windows; the setting then lasts as long as the page.
  }
}

export function writeSetting(setting: Setting, value: string | null): void {
  try {
    if (value === null) localStorage.removeItem(nameOf(setting));
    else localStorage.setItem(nameOf(setting), value);
  } catch {
    // As above.
  }
}
