import { useQueryClient } from '@tanstack/react-query';
import { api, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useFormats } from '../../lib/formats.ts';
import type { Household } from '../../lib/household-queries.ts';
import { useT } from '../../lib/locale.tsx';
import { useCooperativeId } from '../../lib/session.tsx';
import { say } from '../../ui/toast.tsx';
import { householdQuery, type Diner } from './household-query.ts';
import { useKnownVersion } from './use-known-version.ts';

type SaveDiner = Schemas['SaveDiner'];
const TOPICS = ['households', 'rounds'] as const;

/** What every act on diners does with the household that comes back. */
function useAnswer(householdId: string) {
  const queryClient = useQueryClient();
  const cooperativeId = useCooperativeId();
  return (household: Household) =>
    queryClient.setQueryData(householdQuery(cooperativeId, householdId).queryKey, household);
}

/** Adds somebody who eats, or changes one. */
export function useSaveDiner(householdId: string, diner: Diner | null, onDone: () => void) {
  const t = useT();
  const formats = useFormats();
  const cooperativeId = useCooperativeId();
  const answer = useAnswer(householdId);
  const path = { cooperativeId, householdId };
  const withVersion = useKnownVersion(diner?.version ?? 1, householdQuery(cooperativeId, householdId).queryKey);
  return useWrite<SaveDiner, Household>({
    write: (body, headers) =>
      diner === null
        ? ok<Household>(
            api.POST('/api/cooperatives/{cooperativeId}/households/{householdId}/diners', {
              params: { path },
              body,
              headers,
            }),
          )
        : withVersion((version) =>
            ok<Household>(
              api.PATCH('/api/cooperatives/{cooperativeId}/households/{householdId}/diners/{dinerId}', {
                params: { path: { ...path, dinerId: diner.id } },
                body,
                headers: { ...headers, ...version },
              }),
            ),
          ),
    topics: TOPICS,
    onSuccess: (household, { name }) => {
      answer(household);
      const weight = formats.quantity(household.weight);
      say(
        diner === null ? t('household.diner.added', { name, weight }) : t('household.diner.changed', { name, weight }),
      );
      onDone();
    },
  });
}

/** Takes somebody out, with all that was kept about them. */
export function useRemoveDiner(householdId: string, diner: Diner, onDone: () => void) {
  const t = useT();
  const formats = useFormats();
  const cooperativeId = useCooperativeId();
  const answer = useAnswer(householdId);
  const withVersion = useKnownVersion(diner.version, householdQuery(cooperativeId, householdId).queryKey);
  return useWrite<void, Household>({
    write: (_, headers) =>
      withVersion((version) =>
        ok<Household>(
          api.DELETE('/api/cooperatives/{cooperativeId}/households/{householdId}/diners/{dinerId}', {
            params: { path: { cooperativeId, householdId, dinerId: diner.id } },
            headers: { ...headers, ...version },
          }),
        ),
      ),
    topics: TOPICS,
    onSuccess: (household) => {
      answer(household);
      say(t('household.diner.removed', { name: diner.name, weight: formats.quantity(household.weight) }));
      onDone();
    },
  });
}
