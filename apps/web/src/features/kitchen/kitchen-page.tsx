import { useT } from '../../lib/locale.tsx';
import { Page } from '../../ui/page.tsx';

export function KitchenPage() {
  const t = useT();
  return <Page title={t('kitchen.title')}>{null}</Page>;
}
