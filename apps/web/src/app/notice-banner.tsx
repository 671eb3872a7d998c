import { useQuery } from '@tanstack/react-query';
import { useRouterState } from '@tanstack/react-router';
import { useT } from '../lib/locale.tsx';
import { noticesQuery } from '../lib/notices-query.ts';
import { useCooperativeId } from '../lib/session.tsx';
import { LinkButton } from '../ui/button.tsx';

/** On This week: that there is something which I have not seen. */
export function NoticeBanner() {
  const t = useT();
  const path = useRouterState({ select: (state) => state.location.pathname });
  const unseen = useQuery(noticesQuery(useCooperativeId())).data?.unseen ?? 0;
  const isShown = path === '/' && unseen > 0;
  return (
    <div role="status">
      {isShown && (
        <div className="banner banner-quiet">
          {t('nav.noticesUnseen', { n: unseen })}
          <LinkButton to="/notices">{t('nav.noticesSee', { n: unseen })}</LinkButton>
        </div>
      )}
    </div>
  );
}
