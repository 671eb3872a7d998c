import type { Translate } from '../../lib/locale.tsx';
import type { EndedContainer } from './freezer-query.ts';

/** What became of a container: "Eaten", "Thrown away: it had thawed". */
export function endedWords({ state, endedCode, endedReason }: EndedContainer, t: Translate): string {
  if (state === 'sealed') return '';
  if (state !== 'thrown-away') return t(`freezer.state.${state}`);
  const code = endedCode && endedCode !== 'other' ? t(`freezer.reason.${endedCode}`) : '';
  const reason = [code, endedReason ?? ''].filter(Boolean).join(': ');
  return reason ? t('freezer.state.thrown-away', { reason }) : t('freezer.throwAway');
}
