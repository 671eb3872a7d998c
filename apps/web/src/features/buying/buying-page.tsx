import { useT } from '../../lib/locale.tsx';
import { Page } from '../../ui/page.tsx';

export function BuyingPage() {
  const t = useT();
  return <Page title={t('buying.title')}>{null}</Page>;
}
