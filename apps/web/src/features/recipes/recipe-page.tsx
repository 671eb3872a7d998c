import { useT } from '../../lib/locale.tsx';
import { Page } from '../../ui/page.tsx';

export function RecipePage() {
  const t = useT();
  return <Page title={t('recipes.title')}>{null}</Page>;
}
