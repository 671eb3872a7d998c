import { useT } from '../../lib/locale.tsx';
import { Page } from '../../ui/page.tsx';

export function ThisWeekPage() {
  const t = useT();
  return <Page title={t('thisWeek.title')}>{null}</Page>;
}
