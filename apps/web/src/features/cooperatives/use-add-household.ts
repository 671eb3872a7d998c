import { api, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import type { Household } from '../../lib/household-queries.ts';
import { useCooperativeId } from '../../lib/session.tsx';

/** A new household of the cooperative. */
export function useAddHousehold(onAdded?: (household: Household) => void) {
  const cooperativeId = useCooperativeId();
  return useWrite<Schemas['SaveHousehold'], Household>({
    write: (body, headers) =>
      ok<Household>(
        api.POST('/api/cooperatives/{cooperativeId}/households', {
          params: { path: { cooperativeId } },
          body,
          headers,
        }),
      ),
    topics: ['households'],
    onSuccess: (household) => onAdded?.(household),
  });
}
