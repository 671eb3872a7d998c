import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { Note } from '../../ui/card.tsx';

/** What the published rules say about keeping frozen food and heating it again, with their sources. */
export function Cautions() {
  const t = useT();
  const formats = useFormats();
  const degrees = (celsius: string) => formats.unit(celsius, 'celsius', { least: 0, most: 0 });
  return (
    <Note>
      <p>{t('freezer.caution.keeping', { cold: degrees('-18') })}</p>
      <p>{t('freezer.caution.reheating', { hot: degrees('74') })}</p>
      <p>{t('common.notDeclared')}</p>
    </Note>
  );
}
