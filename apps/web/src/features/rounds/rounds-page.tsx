import { useT } from '../../lib/locale.tsx';
import { Page } from '../../ui/page.tsx';

export function RoundsPage() {
  const t = useT();
  return <Page title={t('round.title')}>{null}</Page>;
}
