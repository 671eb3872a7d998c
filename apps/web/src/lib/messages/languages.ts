/** The languages of the screens, in the order in which they are offered, each under its own name. */
export const LANGUAGES = ['en', 'es', 'ar'] as const;
export type Language = (typeof LANGUAGES)[number];
export const LANGUAGE_NAMES: Record<Language, string> = { en: 'English', es: 'Español', ar: 'العربية' };

export const directionOf = (language: Language): 'ltr' | 'rtl' => (language === 'ar' ? 'rtl' : 'ltr');

export const isLanguage = (value: unknown): value is Language => LANGUAGES.includes(value as Language);

/** The first of the wanted languages that there is, else English. */
export function chooseLanguage(wanted: readonly string[]): Language {
  return wanted.map((tag) => tag.slice(0, 2).toLowerCase()).find(isLanguage) ?? 'en';
}

/**
 * The locale by which numbers and dates are written. Where the cooperative names a region of the chosen language, that region decides (en-IE
 * writes "28 Nov"); with US customary units English is written as in the US ("Nov 28"). Arabic takes Arabic-Indic digits throughout.
 */
export function formatLocale(language: Language, cooperative?: { locale: string; unitSystem: string }): string {
  const plain: Record<Language, string> = {
    en: cooperative?.unitSystem === 'us' ? 'en-US' : 'en-GB',
    es: 'es-ES',
    ar: 'ar-EG',
  };
  const named = cooperative?.locale.split('-') ?? [];
  const base = named[0] === language && named.length > 1 ? named.join('-') : plain[language];
  return language === 'ar' ? `${base}-u-nu-arab` : base;
}
