import { useT } from '../lib/locale.tsx';
import type { Waiting } from '../lib/waiting.ts';

/** What waits on this device for a connection. What the server would not take is said on every page, by the shell. */
export function WaitingLine({ waiting }: { waiting: readonly Waiting[] }) {
  const t = useT();
  const open = waiting.filter(({ refused }) => refused === undefined).length;
  return <div role="status">{open > 0 && <p className="banner">{t('common.waiting.saved', { n: open })}</p>}</div>;
}
