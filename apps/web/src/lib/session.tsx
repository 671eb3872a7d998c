import { queryOptions, useQuery, useQueryClient, type QueryClient } from '@tanstack/react-query';
import { api, isProblem, ok, sessionEnded } from './api/client.ts';
import type { Schemas } from './api/schemas.ts';
import { forgetKept } from './kept-state.ts';
import { readSetting, writeSetting } from './settings.ts';

export type Me = Schemas['Me'];
export type Membership = Schemas['Membership'];
export type Cooperative = Schemas['Cooperative'];
export type Role = Membership['roles'][number];

/** Who is signed in; null where nobody is. */
const meQuery = queryOptions({
  queryKey: ['me'],
  staleTime: 60_000,
  queryFn: async ({ client }): Promise<Me | null> => {
    try {
      return await ok(api.GET('/api/me'));
    } catch (error) {
      if (!isProblem(error) || error.status !== 401) throw error;
      // Nobody is signed in. If somebody was a moment ago, the session has ended meanwhile.
      if (!client.getQueryData(['me'])) return null;
      sessionEnded();
      throw error;
    }
  },
});

const cooperativeQuery = (cooperativeId: string) =>
  queryOptions({
    queryKey: ['cooperatives', cooperativeId],
    staleTime: 60_000,
    meta: { topics: ['cooperative'] },
    queryFn: () => ok(api.GET('/api/cooperatives/{cooperativeId}', { params: { path: { cooperativeId } } })),
  });

/** The membership in use: the one chosen on this device, else the first. */
export function currentMembership(me: Me | null | undefined): Membership | undefined {
  const chosen = readSetting('cooperative');
  return me?.memberships.find((membership) => membership.cooperativeId === chosen) ?? me?.memberships[0];
}

/** Loads what every signed-in page needs; null where nobody is signed in or the person belongs nowhere yet. */
export async function loadSession(queryClient: QueryClient): Promise<{ me: Me; membership: Membership } | null> {
  const me = await queryClient.ensureQueryData(meQuery);
  const membership = currentMembership(me);
  if (!me || !membership) return null;
  await queryClient.ensureQueryData(cooperativeQuery(membership.cooperativeId));
  return { me, membership };
}

/** Me, if signed in: never asks by itself on the pages before signing in. */
function useMe(): Me | null | undefined {
  return useQuery({ ...meQuery, enabled: ({ state }) => state.data != null }).data;
}

export function useCooperativeOrNull(): Cooperative | null {
  const cooperativeId = currentMembership(useMe())?.cooperativeId;
  const { data } = useQuery({ ...cooperativeQuery(cooperativeId ?? ''), enabled: cooperativeId !== undefined });
  return data ?? null;
}

/** On signed-in pages: me, my membership, my roles and the cooperative. */
export function useSession() {
  const me = useMe();
  const membership = currentMembership(me);
  const cooperative = useCooperativeOrNull();
  if (!me || !membership || !cooperative) throw new Error('useSession is for signed-in pages.');
  const { cooperativeId, householdId, householdName, roles } = membership;
  const can = (...wanted: Role[]) => wanted.some((role) => roles.includes(role));
  return { me, membership, cooperative, cooperativeId, householdId, householdName, roles, can };
}

/** The cooperative that every path of the contract begins with. */
export const useCooperativeId = (): string => useSession().cooperativeId;

/** Makes another of one's cooperatives the current one. */
export function useChooseCooperative() {
  const queryClient = useQueryClient();
  return async (cooperativeId: string) => {
    writeSetting('cooperative', cooperativeId);
    await queryClient.ensureQueryData(cooperativeQuery(cooperativeId));
    await queryClient.invalidateQueries({ queryKey: ['me'] });
  };
}

/** After signing in, setting up or joining: what was loaded before belongs to nobody; the answer is the new session. */
export function beginSession(queryClient: QueryClient, me: Me, cooperativeId?: string): void {
  queryClient.clear();
  forgetKept();
  queryClient.setQueryData(meQuery.queryKey, me);
  if (cooperativeId) writeSetting('cooperative', cooperativeId);
}

/** Forgets everything of the person who signed out. */
export function forgetSession(queryClient: QueryClient): void {
  queryClient.clear();
  forgetKept();
  queryClient.setQueryData(meQuery.queryKey, null);
}

export async function signOut(queryClient: QueryClient): Promise<void> {
  await ok(api.POST('/api/sign-out'));
  forgetSession(queryClient);
}
