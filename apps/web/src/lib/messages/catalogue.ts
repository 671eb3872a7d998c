import { CORE_AREAS, type Area } from './areas.ts';
import type { CompiledMessage, CompiledMessages } from './compile.ts';
import type { Language } from './languages.ts';

const files = import.meta.glob<CompiledMessages>('./*/*.json', { import: 'default' });
const loaded = new Map<Language, Map<Area, CompiledMessages>>();
const wantedAreas = new Set<Area>(CORE_AREAS);
let activeLanguage: Language = 'en';

async function loadArea(language: Language, area: Area): Promise<void> {
  const areas = loaded.get(language) ?? new Map<Area, CompiledMessages>();
  loaded.set(language, areas);
  if (areas.has(area)) return;
  const load = files[`./${language}/${area}.json`];
  if (!load) throw new Error(`There is no message file for ${area} in ${language}.`);
  areas.set(area, await load());
}

/** Loads the words of a page in the language in use; called by the route before the page is shown. */
export async function loadAreas(areas: readonly Area[]): Promise<void> {
  for (const area of areas) wantedAreas.add(area);
  await Promise.all(areas.map((area) => loadArea(activeLanguage, area)));
}

/** Loads every area in use so far in another language, then makes that language the one for later areas. */
export async function loadLanguage(language: Language): Promise<void> {
  await Promise.all([...wantedAreas].map((area) => loadArea(language, area)));
  activeLanguage = language;
}

export function findMessage(language: Language, key: string): CompiledMessage | undefined {
  const dot = key.indexOf('.');
  return loaded.get(language)?.get(key.slice(0, dot) as Area)?.[key.slice(dot + 1)];
}
