import { useT } from '../../lib/locale.tsx';
import { Page } from '../../ui/page.tsx';

export function HouseholdPage() {
  const t = useT();
  return <Page title={t('household.title')}>{null}</Page>;
}
