import type { ReactNode } from 'react';
import { useLocale } from '../lib/locale.tsx';
import { LANGUAGE_NAMES, LANGUAGES, type Language } from '../lib/messages/languages.ts';
import { Page } from './page.tsx';

/** The frame of pages for those who are not signed in: one narrow column, with the language at hand. */
export function Gate({ title, lead, children }: { title: string; lead?: ReactNode; children: ReactNode }) {
  const { t, language, setLanguage } = useLocale();
  return (
    <div className="gate">
      <header className="gate-head">
        <span className="top-line-name">Frostmoot</span>
        <div className="field-box">
          <select
            aria-label={t('nav.language')}
            value={language}
            onChange={(event) => void setLanguage(event.target.value as Language)}
          >
            {LANGUAGES.map((code) => (
              <option key={code} value={code} lang={code}>
                {LANGUAGE_NAMES[code]}
              </option>
            ))}
          </select>
        </div>
      </header>
      <main id="main">
        <Page title={title}>
          {lead && <p className="measure">{lead}</p>}
          {children}
        </Page>
      </main>
    </div>
  );
}
