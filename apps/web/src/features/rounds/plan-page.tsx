import { useT } from '../../lib/locale.tsx';
import { Page } from '../../ui/page.tsx';

export function PlanPage() {
  const t = useT();
  return <Page title={t('round.stage.plan')}>{null}</Page>;
}
