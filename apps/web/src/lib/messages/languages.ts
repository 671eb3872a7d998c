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
 * The locale by which numbers and dates are written. The cooperative's own locale decides where it speaks the chosen language (en-US writes
 * "Nov 28", en-IE "28 Nov"); otherwise a plain form of that language is taken. Arabic is written with Arabic-Indic digits throughout.
 */
export function formatLocale(language: Language, cooperativeLocale: string | undefined): string {
  const plain: Record<Language, string> = { en: 'en-GB', es: 'es-ES', ar: 'ar-EG' };
  const base = cooperativeLocale?.split('-')[0] === language ? cooperativeLocale : plain[language];
  return language === 'ar' && !base.includes('-u-') ? `${base}-u-nu-arab` : base;
}
