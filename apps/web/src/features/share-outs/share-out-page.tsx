import { useT } from '../../lib/locale.tsx';
import { Page } from '../../ui/page.tsx';

export function ShareOutPage() {
  const t = useT();
  return <Page title={t('shareOut.title')}>{null}</Page>;
}
