import { useQueryClient } from '@tanstack/react-query';
import { api, ifMatch, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { say } from '../../ui/toast.tsx';
import { rotaQuery, type Draft, type Rota } from './rota-queries.ts';

type Turns = Schemas['SaveRotaTurns']['turns'];
export type DraftAct = { act: 'turns'; turns: Turns } | { act: 'limits' } | { act: 'publish' } | { act: 'set-aside' };

/** Changes a draft: its turns, what it may break, publishing it or giving it up. */
export function useDraft(draft: Draft) {
  const t = useT();
  const { cooperativeId } = useSession();
  const queryClient = useQueryClient();
  return useWrite<DraftAct, Rota>({
    write: (change, headers) => {
      const options = {
        params: { path: { cooperativeId, rotaId: draft.id } },
        headers: { ...headers, ...ifMatch(draft.version) },
      };
      const path = '/api/cooperatives/{cooperativeId}/rota-proposals/{rotaId}';
      switch (change.act) {
        case 'turns':
          return ok<Rota>(api.PUT(`${path}/turns`, { ...options, body: { turns: change.turns } }));
        case 'limits':
          return ok<Rota>(api.POST(`${path}/limits`, options));
        case 'publish':
          return ok<Rota>(api.POST(`${path}/publish`, options));
        case 'set-aside':
          return ok<Rota>(api.DELETE(path, options));
      }
    },
    topics: ['rota', 'accounts', 'rounds'],
    onSuccess: (rota, { act }) => {
      queryClient.setQueryData(rotaQuery(cooperativeId).queryKey, rota);
      if (act === 'publish') say(t('rota.published'));
      if (act === 'set-aside') say(t('rota.wasSetAside'));
    },
  });
}

/** The draft's turns as they are sent. */
export const turnsOf = (draft: Draft): Turns =>
  draft.weeks.flatMap(({ weekOf, turns }) =>
    turns.map(({ household, kept }) => ({ weekOf, householdId: household.id, kept })),
  );
