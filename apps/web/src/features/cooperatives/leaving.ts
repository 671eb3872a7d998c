import { queryOptions } from '@tanstack/react-query';
import { api, ifMatch, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useT } from '../../lib/locale.tsx';
import { useCooperativeId } from '../../lib/session.tsx';
import { say } from '../../ui/toast.tsx';

export type Leaving = Schemas['Leaving'];

/** What a household would leave behind today, and who takes it over. */
export const leavingQuery = (cooperativeId: string, householdId: string) =>
  queryOptions({
    queryKey: ['leaving', cooperativeId, householdId],
    meta: { topics: ['accounts', 'households', 'rounds', 'share-outs', 'swaps'] },
    queryFn: () =>
      ok<Leaving>(
        api.GET('/api/cooperatives/{cooperativeId}/accounts/{householdId}/leaving', {
          params: { path: { cooperativeId, householdId } },
        }),
      ),
  });

/** Settles a leaver's portions in both books as they were shown, and lets it go. */
export function useSettleLeaving({ household }: Leaving, onDone: () => void) {
  const t = useT();
  const cooperativeId = useCooperativeId();
  return useWrite<Leaving, Leaving>({
    write: ({ portionsMicro, moneyMinor, version }, headers) =>
      ok<Leaving>(
        api.POST('/api/cooperatives/{cooperativeId}/accounts/{householdId}/leaving', {
          params: { path: { cooperativeId, householdId: household.id } },
          body: { portionsMicro, moneyMinor },
          headers: { ...headers, ...ifMatch(version) },
        }),
      ),
    topics: ['accounts', 'households', 'rounds'],
    onSuccess: () => {
      onDone();
      say(t('household.leaving.done', { household: household.name }));
    },
  });
}
