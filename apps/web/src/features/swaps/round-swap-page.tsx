import { useT } from '../../lib/locale.tsx';
import { Page } from '../../ui/page.tsx';

export function RoundSwapPage() {
  const t = useT();
  return <Page title={t('swaps.title')}>{null}</Page>;
}
