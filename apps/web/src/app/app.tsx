import { QueryClientProvider } from '@tanstack/react-query';
import { RouterProvider } from '@tanstack/react-router';
import type { ReactNode } from 'react';
import { I18nProvider } from 'react-aria-components/I18nProvider';
import { LocaleProvider, useLocale } from '../lib/locale.tsx';
import { useCooperativeOrNull } from '../lib/session.tsx';
import type { Language } from '../lib/messages/languages.ts';
import { PatternDefinitions } from '../ui/patterns.tsx';
import { queryClient } from './query-client.ts';
import { router } from './router.tsx';

export function App({ language }: { language: Language }) {
  return (
    <QueryClientProvider client={queryClient}>
      <Words language={language}>
        <PatternDefinitions />
        <RouterProvider router={router} />
      </Words>
    </QueryClientProvider>
  );
}

function Words({ language, children }: { language: Language; children: ReactNode }) {
  const cooperative = useCooperativeOrNull() ?? undefined;
  return (
    <LocaleProvider language={language} cooperative={cooperative}>
      <AriaWords>{children}</AriaWords>
    </LocaleProvider>
  );
}

/** The kit's own words (a stepper's "increase", for one) and its number parsing follow the same language. */
function AriaWords({ children }: { children: ReactNode }) {
  const { locale } = useLocale();
  return <I18nProvider locale={locale}>{children}</I18nProvider>;
}
