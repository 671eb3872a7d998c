import { Link, Outlet, useMatches, useRouterState } from '@tanstack/react-router';
import { lazy, Suspense, useState, useSyncExternalStore } from 'react';
import { LiveUpdates } from '../lib/live/live-updates.tsx';
import { useT } from '../lib/locale.tsx';
import { useSession } from '../lib/session.tsx';
import { BackIcon } from '../ui/icons.tsx';
import { HouseholdMenu } from './household-menu.tsx';
import { NavBar } from './nav-bar.tsx';
import { NoticeBanner } from './notice-banner.tsx';
import { OfflineBanner } from './offline-banner.tsx';
import { RecallBanner } from './recall-banner.tsx';
import { useKeys } from './use-keys.ts';
import { WaitingSender } from './waiting-sender.tsx';

const KeysDialog = lazy(() => import('./keys-dialog.tsx'));

const wide = matchMedia('(width >= 960px)');
const onWidthChange = (listener: () => void) => {
  wide.addEventListener('change', listener);
  return () => wide.removeEventListener('change', listener);
};

/** The frame of every signed-in page: skip link, navigation, page. On hands-busy pages one line on top takes the navigation's place. */
export function Shell() {
  const { cooperativeId } = useSession();
  const [keysOpen, setKeysOpen] = useState(false);
  useKeys(() => setKeysOpen(true));
  const isWide = useSyncExternalStore(onWidthChange, () => wide.matches);
  const staticData = useMatches().findLast((match) => match.staticData.handsBusy)?.staticData;
  const busy = staticData?.handsBusy === 'always' || (staticData?.handsBusy === 'phone' && !isWide);
  return (
    <>
      <LiveUpdates cooperativeId={cooperativeId} />
      <SkipLink />
      {busy ? <BusyFrame kitchen={staticData?.kitchen} /> : <Frame onKeys={() => setKeysOpen(true)} />}
      <Suspense>{keysOpen && <KeysDialog onClose={() => setKeysOpen(false)} />}</Suspense>
    </>
  );
}

function SkipLink() {
  const t = useT();
  return (
    <a
      className="skip-link"
      href="#main"
      onClick={(event) => {
        // Moves the focus without adding to the history.
        event.preventDefault();
        document.getElementById('main')?.focus();
      }}
    >
      {t('nav.skip')}
    </a>
  );
}

function Main() {
  return (
    <main id="main" className="shell-main" tabIndex={-1}>
      <OfflineBanner />
      <WaitingSender />
      <RecallBanner />
      <NoticeBanner />
      <Outlet />
    </main>
  );
}

function Frame({ onKeys }: { onKeys: () => void }) {
  const { membership, cooperative } = useSession();
  return (
    <div className="shell">
      <header className="top-line">
        <span className="top-line-name">{cooperative.name}</span>
        <HouseholdMenu label={membership.householdName} onKeys={onKeys} />
      </header>
      <NavBar onKeys={onKeys} />
      <Main />
    </div>
  );
}

function BusyFrame({ kitchen }: { kitchen?: boolean }) {
  const t = useT();
  const roundId = useRouterState({ select: (state) => (state.matches.at(-1)?.params as { roundId?: string }).roundId });
  return (
    <div className={kitchen ? 'busy busy-kitchen' : 'busy'}>
      <header className="top-line top-line-always">
        <Link
          className="top-line-back"
          to={roundId ? '/rounds/$roundId/plan' : '/'}
          params={{ roundId: roundId ?? '' }}
        >
          <BackIcon />
          {t(kitchen ? 'nav.leave' : 'nav.round')}
        </Link>
        {/* A page puts here what must always be seen: the clock, or what waits to be sent (see TopLine). */}
        <div id="top-line-end" className="soft" />
      </header>
      <Main />
    </div>
  );
}
