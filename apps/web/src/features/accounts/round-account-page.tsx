import { useT } from '../../lib/locale.tsx';
import { Page } from '../../ui/page.tsx';

export function RoundAccountPage() {
  const t = useT();
  return <Page title={t('accounts.title')}>{null}</Page>;
}
