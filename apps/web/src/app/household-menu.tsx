import { useNavigate } from '@tanstack/react-router';
import { useQueryClient } from '@tanstack/react-query';
import { useLocale } from '../lib/locale.tsx';
import { useLook, type Look } from '../lib/look.ts';
import { LANGUAGE_NAMES, LANGUAGES } from '../lib/messages/languages.ts';
import { signOut, useChooseCooperative, useSession } from '../lib/session.tsx';
import { MenuButton, type MenuGroup } from '../ui/menu.tsx';
import { say } from '../ui/toast.tsx';

/** Opens what is needed seldom: places below the five entries (on a phone), language, look, keys, signing out. */
export function HouseholdMenu({ label, onKeys, bare }: { label: string; onKeys: () => void; bare?: boolean }) {
  const { t } = useLocale();
  const places = usePlaces();
  const language = useLanguageGroup();
  const look = useLookGroup();
  const person = usePersonGroup(onKeys);
  const cooperatives = useCooperativesGroup();
  const groups = [...(bare ? [] : [places]), ...cooperatives, language, ...look, person];
  return (
    <MenuButton
      label={label}
      aria-label={bare ? undefined : t('nav.menuOf', { household: label })}
      groups={groups}
      kind={bare ? 'bare' : 'normal'}
    />
  );
}

function usePlaces(): MenuGroup {
  const { t } = useLocale();
  const { can } = useSession();
  const navigate = useNavigate();
  const entries = [
    { id: 'recipes', label: t('nav.recipes'), onAction: () => void navigate({ to: '/recipes' }) },
    { id: 'household', label: t('nav.household'), onAction: () => void navigate({ to: '/household' }) },
    { id: 'recalls', label: t('nav.recalls'), onAction: () => void navigate({ to: '/recalls' }) },
    { id: 'notices', label: t('nav.notices'), onAction: () => void navigate({ to: '/notices' }) },
  ];
  if (can('coordinator')) {
    entries.push({
      id: 'coordinator',
      label: t('nav.coordinator'),
      onAction: () => void navigate({ to: '/coordinator' }),
    });
  }
  return { entries };
}

/** Only for people who belong to more than one cooperative. */
function useCooperativesGroup(): MenuGroup[] {
  const { t } = useLocale();
  const { me, cooperativeId } = useSession();
  const choose = useChooseCooperative();
  const navigate = useNavigate();
  if (me.memberships.length < 2) return [];
  const entries = me.memberships.map((membership) => ({
    id: `cooperative-${membership.cooperativeId}`,
    label: membership.cooperativeName,
    isChosen: membership.cooperativeId === cooperativeId,
    onAction: () => void choose(membership.cooperativeId).then(() => navigate({ to: '/' })),
  }));
  return [{ title: t('nav.cooperatives'), entries }];
}

function useLanguageGroup(): MenuGroup {
  const { t, language, setLanguage } = useLocale();
  const entries = LANGUAGES.map((code) => ({
    id: `language-${code}`,
    label: LANGUAGE_NAMES[code],
    lang: code,
    isChosen: code === language,
    onAction: () => void setLanguage(code),
  }));
  return { title: t('nav.language'), entries };
}

function useLookGroup(): MenuGroup[] {
  const { t } = useLocale();
  const { look, setLook, contrast, setContrast } = useLook();
  const looks: readonly Look[] = ['system', 'light', 'dark'];
  return [
    {
      title: t('nav.look'),
      entries: [
        ...looks.map((name) => ({
          id: `look-${name}`,
          label: t(`nav.look.${name}`),
          isChosen: name === look,
          onAction: () => setLook(name),
        })),
        {
          id: 'contrast',
          label: t('nav.look.moreContrast'),
          isChosen: contrast === 'more',
          onAction: () => setContrast(contrast === 'more' ? 'system' : 'more'),
        },
      ],
    },
  ];
}

function usePersonGroup(onKeys: () => void): MenuGroup {
  const { t } = useLocale();
  const { me } = useSession();
  const queryClient = useQueryClient();
  const leave = () =>
    signOut(queryClient).then(
      () => location.assign('/sign-in'),
      () => say(t('nav.signOutFailed')),
    );
  return {
    title: me.displayName,
    entries: [
      { id: 'keys', label: t('nav.keys'), onAction: onKeys },
      { id: 'sign-out', label: t('nav.signOut'), onAction: () => void leave() },
    ],
  };
}
