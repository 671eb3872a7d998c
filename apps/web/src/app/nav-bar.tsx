import { Link, useMatches, useRouterState } from '@tanstack/react-router';
import type { ReactNode } from 'react';
import { useT } from '../lib/locale.tsx';
import { useSession } from '../lib/session.tsx';
import { DrawerIcon, PotIcon, ReceiptIcon, StagesIcon, SwapIcon } from '../ui/icons.tsx';
import { HouseholdMenu } from './household-menu.tsx';

/** One navigation with two looks: bottom bar on a phone, side bar from 960 px, where Round unfolds its stages. */
export function NavBar({ onKeys }: { onKeys: () => void }) {
  const t = useT();
  const { cooperative, membership, can } = useSession();
  const path = useRouterState({ select: (state) => state.location.pathname });
  const inRound = path === '/round' || path.startsWith('/rounds/');
  return (
    <nav className="nav-bar" aria-label={t('nav.label')}>
      <div className="nav-bar-head">
        <div className="nav-bar-cooperative">{cooperative.name}</div>
        <div className="small soft">{t('nav.householdOf', { household: membership.householdName })}</div>
      </div>
      <ul className="nav-bar-entries" role="list">
        <Entry to="/" here={path === '/'} icon={<PotIcon />} word={t('nav.thisWeek')} />
        <Entry to="/round" here={inRound} icon={<StagesIcon />} word={t('nav.round')}>
          <RoundStages />
        </Entry>
        <Entry to="/freezer" here={path === '/freezer'} icon={<DrawerIcon />} word={t('nav.freezer')} />
        <Entry to="/swaps" here={path === '/swaps'} icon={<SwapIcon />} word={t('nav.swaps')} />
        <Entry to="/accounts" here={path === '/accounts'} icon={<ReceiptIcon />} word={t('nav.accounts')} />
      </ul>
      <div className="nav-bar-more">
        <More to="/recipes" word={t('nav.recipes')} />
        <More to="/household" word={t('nav.household')} />
        <More to="/recalls" word={t('nav.recalls')} />
        <More to="/notices" word={t('nav.notices')} />
        {can('coordinator') && <More to="/coordinator" word={t('nav.coordinator')} />}
        <HouseholdMenu label={t('nav.settings')} onKeys={onKeys} bare />
      </div>
    </nav>
  );
}

type Destination =
  | '/'
  | '/round'
  | '/freezer'
  | '/swaps'
  | '/accounts'
  | '/recipes'
  | '/household'
  | '/recalls'
  | '/notices'
  | '/coordinator';

function Entry(props: { to: Destination; here: boolean; icon: ReactNode; word: string; children?: ReactNode }) {
  return (
    <li>
      <Link
        to={props.to}
        className="nav-bar-entry"
        activeProps={{ 'aria-current': undefined }}
        aria-current={props.here ? 'page' : undefined}
      >
        {props.icon}
        {props.word}
      </Link>
      {props.here && props.children}
    </li>
  );
}

function More({ to, word }: { to: Destination; word: string }) {
  return (
    <Link to={to} activeOptions={{ exact: false }}>
      {word}
    </Link>
  );
}

const STAGES = ['plan', 'buy', 'cook', 'share-out'] as const;

function RoundStages() {
  const t = useT();
  const matches = useMatches();
  const roundId = (matches.at(-1)?.params as { roundId?: string } | undefined)?.roundId;
  const here = matches.findLast((match) => match.staticData.stage)?.staticData.stage;
  if (!roundId) return null;
  return (
    <ul className="nav-bar-stages" role="list">
      {STAGES.map((stage) => (
        <li key={stage}>
          <Link
            to={`/rounds/$roundId/${stage}`}
            params={{ roundId }}
            aria-current={stage === here ? 'step' : undefined}
          >
            {t(`nav.stage.${stage}`)}
          </Link>
        </li>
      ))}
    </ul>
  );
}
