import { useT } from '../lib/locale.tsx';
import { LinkButton } from '../ui/button.tsx';
import { Page } from '../ui/page.tsx';

/** Inside the frame: an address that is no page, or a thing that is not there. */
export function NotFoundPage() {
  const t = useT();
  return (
    <Page title={t('common.notFound.title')}>
      <p className="measure">{t('common.notFound.words')}</p>
      <div className="row">
        <LinkButton kind="main" to="/">
          {t('common.notFound.go')}
        </LinkButton>
      </div>
    </Page>
  );
}
