import type { Translate } from '../../lib/locale.tsx';
import type { EndedContainer } from './freezer-query.ts';

/** What became of a container: "Eaten", "Thrown away: it had thawed". */
export function endedWords({ state, endedReason }: EndedContainer, t: Translate): string {
  if (state === 'sealed') return '';
  if (state !== 'thrown-away') return t(`freezer.state.${state}`);
  return endedReason ? t('freezer.state.thrown-away', { reason: endedReason }) : t('freezer.throwAway');
}
