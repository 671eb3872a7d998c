import { useT } from '../../lib/locale.tsx';
import { Page } from '../../ui/page.tsx';

export function CoordinatorPage() {
  const t = useT();
  return <Page title={t('coordinator.title')}>{null}</Page>;
}
