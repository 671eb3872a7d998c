import { onlineManager } from '@tanstack/react-query';
import { useEffect, useState } from 'react';
import { useT } from '../lib/locale.tsx';
import { useFormats } from '../lib/formats.ts';

/** Says since when there is no connection; what is on the screen stays usable. */
export function OfflineBanner() {
  const t = useT();
  const formats = useFormats();
  const [since, setSince] = useState(() => (onlineManager.isOnline() ? null : new Date().toISOString()));
  useEffect(() => onlineManager.subscribe((online) => setSince(online ? null : new Date().toISOString())), []);
  return (
    <div role="status">{since && <p className="banner">{t('common.offline', { time: formats.time(since) })}</p>}</div>
  );
}
