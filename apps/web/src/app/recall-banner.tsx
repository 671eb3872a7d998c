import { useQuery } from '@tanstack/react-query';
import { useRouterState } from '@tanstack/react-router';
import { useT } from '../lib/locale.tsx';
import { recallsQuery } from '../lib/recalls-query.ts';
import { useCooperativeId } from '../lib/session.tsx';
import { LinkButton } from '../ui/button.tsx';
import { StateMark } from '../ui/state-mark.tsx';

/** On every page until it is answered: what must not be eaten. In earnest before a drill. */
export function RecallBanner() {
  const t = useT();
  const path = useRouterState({ select: (state) => state.location.pathname });
  const items = useQuery(recallsQuery(useCooperativeId())).data?.items ?? [];
  const open = items.filter(({ toAnswer, id }) => toAnswer > 0 && path !== `/recalls/${id}`);
  const first = open.find(({ drill }) => !drill) ?? open[0];
  return (
    <div role="alert">
      {first && (
        <div className="banner">
          <StateMark state="problem">
            <strong>
              {t(first.drill ? 'nav.recallDrillBanner' : 'nav.recallBanner', { n: first.toAnswer, what: first.what })}
            </strong>
          </StateMark>
          <LinkButton to="/recalls/$recallId" params={{ recallId: first.id }}>
            {t('nav.recallAnswer')}
          </LinkButton>
        </div>
      )}
    </div>
  );
}
