import { useT } from '../../lib/locale.tsx';
import { Page } from '../../ui/page.tsx';

export function FreezerPage() {
  const t = useT();
  return <Page title={t('freezer.title')}>{null}</Page>;
}
