import { api, ifMatch, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { say } from '../../ui/toast.tsx';

type Waiting = Schemas['Waiting'];

/** The place of each in the line for its dish, from 1. */
export function placesOf(waiting: readonly Waiting[]): Map<string, number> {
  const lines = new Map<string, number>();
  return new Map(
    waiting.map(({ id, recipe }) => {
      const place = (lines.get(recipe.id) ?? 0) + 1;
      lines.set(recipe.id, place);
      return [id, place];
    }),
  );
}

/** Joining the line for a dish, and leaving it. */
export function useDishLine() {
  const t = useT();
  const { cooperativeId, householdId } = useSession();
  const path = { cooperativeId };
  const join = useWrite<{ recipeId: string; name: string }, Waiting>({
    write: ({ recipeId }, headers) =>
      ok<Waiting>(
        api.POST('/api/cooperatives/{cooperativeId}/waiting', {
          params: { path },
          body: { householdId, recipeId },
          headers,
        }),
      ),
    topics: ['share-outs'],
    onSuccess: (_, { name }) => say(t('shareOut.said.waiting', { dish: name })),
  });
  const leave = useWrite<Waiting, Waiting>({
    write: ({ id, version }, headers) =>
      ok<Waiting>(
        api.POST('/api/cooperatives/{cooperativeId}/waiting/{waitingId}/leave', {
          params: { path: { cooperativeId, waitingId: id } },
          headers: { ...headers, ...ifMatch(version) },
        }),
      ),
    topics: ['share-outs'],
    onSuccess: (_, { recipe }) => say(t('shareOut.said.waitLeft', { dish: recipe.name })),
  });
  return { join, leave };
}
export type LineActs = ReturnType<typeof useDishLine>;
