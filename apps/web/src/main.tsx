import './ui/css/index.css';
import { StrictMode } from 'react';
import { createRoot } from 'react-dom/client';
import { App } from './app/app.tsx';
import { initialLanguage } from './lib/locale.tsx';
import { restoreLook } from './lib/look.ts';
import { loadLanguage } from './lib/messages/catalogue.ts';

restoreLook();
const language = initialLanguage();
await loadLanguage(language);
createRoot(document.getElementById('app')!).render(
  <StrictMode>
    <App language={language} />
  </StrictMode>,
);
