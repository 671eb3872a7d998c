import { useT } from '../lib/locale.tsx';
import { Button } from './button.tsx';
import { PrintIcon } from './icons.tsx';

export function PrintButton({ children }: { children?: string }) {
  const t = useT();
  return (
    <Button icon={<PrintIcon />} onPress={() => window.print()}>
      {children ?? t('common.print')}
    </Button>
  );
}
