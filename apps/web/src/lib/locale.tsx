import { createContext, Fragment, use, useCallback, useEffect, useMemo, useState, type ReactNode } from 'react';
import { isDev } from './environment.ts';
import { findMessage, loadLanguage } from './messages/catalogue.ts';
import { formatParts, formatText, type MessageValue, type MessageValues } from './messages/format-message.ts';
import { chooseLanguage, directionOf, formatLocale, isLanguage, type Language } from './messages/languages.ts';
import type { MessageKey } from './messages/areas.ts';
import { readSetting, writeSetting } from './settings.ts';

export type Translate = (key: MessageKey, values?: MessageValues) => string;

interface LocaleContextValue {
  language: Language;
  dir: 'ltr' | 'rtl';
  /** BCP 47 tag for numbers and dates. */
  locale: string;
  t: Translate;
  setLanguage: (language: Language) => Promise<void>;
}

const LocaleContext = createContext<LocaleContextValue | null>(null);

export function initialLanguage(): Language {
  const chosen = readSetting('language');
  return isLanguage(chosen) ? chosen : chooseLanguage(navigator.languages);
}

function messageOf(language: Language, key: string) {
  const message = findMessage(language, key);
  if (message === undefined && isDev) throw new Error(`No message "${key}": is its area listed at the route?`);
  return message ?? key;
}

/** The language in use; the cooperative decides how numbers and dates are written in it. */
export function LocaleProvider(props: {
  language: Language;
  cooperative?: { locale: string; unitSystem: string };
  children: ReactNode;
}) {
  const [language, setCurrent] = useState(props.language);
  const dir = directionOf(language);
  const locale = formatLocale(language, props.cooperative);
  const setLanguage = useCallback(async (next: Language) => {
    await loadLanguage(next);
    writeSetting('language', next);
    setCurrent(next);
  }, []);
  useEffect(() => {
    document.documentElement.lang = language;
    document.documentElement.dir = dir;
  }, [language, dir]);
  const value = useMemo<LocaleContextValue>(
    () => ({
      language,
      dir,
      locale,
      t: (key, values) => formatText(messageOf(language, key), language, locale, values),
      setLanguage,
    }),
    [language, dir, locale, setLanguage],
  );
  return <LocaleContext value={value}>{props.children}</LocaleContext>;
}

export function useLocale(): LocaleContextValue {
  const value = use(LocaleContext);
  if (!value) throw new Error('useLocale needs a LocaleProvider above it.');
  return value;
}

/** `t('area.key', { n: 3 })` gives the words as a plain string. */
export const useT = (): Translate => useLocale().t;

type NodeValue = MessageValue | ReactNode | ((chunks: ReactNode[]) => ReactNode);

/** The words as nodes: `<b>` in a message becomes strong, values may be elements, other tags are given as functions. */
export function T(props: { k: MessageKey; values?: Record<string, NodeValue> }) {
  const { language, locale } = useLocale();
  const tags = { b: (chunks: ReactNode[]) => <strong>{chunks}</strong> };
  const parts = formatParts(messageOf(language, props.k), language, locale, { ...tags, ...props.values });
  return (
    <>
      {parts.map((part, index) => (
        <Fragment key={index}>{part as ReactNode}</Fragment>
      ))}
    </>
  );
}
