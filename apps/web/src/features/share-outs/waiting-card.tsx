import { api, ifMatch, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Card } from '../../ui/card.tsx';
import { List, ListRow } from '../../ui/list.tsx';
import { Row } from '../../ui/page.tsx';
import { Problem } from '../../ui/problem-box.tsx';
import { StateMark } from '../../ui/state-mark.tsx';
import { say } from '../../ui/toast.tsx';
import type { ShareOut } from './share-out-query.ts';

type Waiting = Schemas['Waiting'];

/** Who waits for a dish of this round, in line; joining and leaving. */
export function WaitingCard({ shareOut, mayAct }: { shareOut: ShareOut; mayAct: boolean }) {
  const t = useT();
  const formats = useFormats();
  const { cooperative, householdId } = useSession();
  const { join, leave } = useWaiting();
  const dishes = new Set(shareOut.dishes.map(({ recipeId }) => recipeId));
  const waiting = shareOut.waiting.filter(({ recipe }) => dishes.has(recipe.id));
  const places = placesOf(shareOut.waiting);
  const mine = new Set(waiting.filter(({ household }) => household.id === householdId).map(({ recipe }) => recipe.id));
  const open = shareOut.dishes.filter(({ recipeId }) => !mine.has(recipeId));
  return (
    <Card title={t('shareOut.wait.title')}>
      <p className="measure soft">{t('shareOut.wait.words', { hours: cooperative.waitingHours })}</p>
      {waiting.length === 0 ? (
        <p className="soft">{t('shareOut.wait.nobody')}</p>
      ) : (
        <List small>
          {waiting.map((one) => (
            <ListRow
              key={one.id}
              title={one.recipe.name}
              mine={one.household.id === householdId}
              detail={t('shareOut.wait.line', { household: one.household.name, n: places.get(one.id) ?? 1 })}
              acts={
                mayAct && one.household.id === householdId ? (
                  <Button
                    kind="plain"
                    aria-label={t('shareOut.wait.leaveNamed', { dish: one.recipe.name })}
                    isPending={leave.isPending && leave.variables?.id === one.id}
                    onPress={() => leave.mutate(one)}
                  >
                    {t('shareOut.wait.leave')}
                  </Button>
                ) : undefined
              }
            >
              {one.state === 'kept' && (
                <span className="small">
                  <StateMark state="setAside">
                    {t(one.household.id === householdId ? 'shareOut.wait.keptForUs' : 'shareOut.wait.kept', {
                      household: one.household.name,
                      at: one.keptUntil ? formats.dayTimeZone(one.keptUntil) : '',
                    })}
                  </StateMark>
                </span>
              )}
            </ListRow>
          ))}
        </List>
      )}
      <Problem error={join.error ?? leave.error} />
      {mayAct && shareOut.policy !== 'none' && open.length > 0 && (
        <Row>
          {open.map(({ recipeId, name }) => (
            <Button
              key={recipeId}
              isPending={join.isPending && join.variables?.recipeId === recipeId}
              onPress={() => join.mutate({ recipeId, name })}
            >
              {t('shareOut.wait.join', { dish: name })}
            </Button>
          ))}
        </Row>
      )}
    </Card>
  );
}

/** The place of each in the line for its dish, from 1. */
function placesOf(waiting: readonly Waiting[]): Map<string, number> {
  const lines = new Map<string, number>();
  return new Map(
    waiting.map(({ id, recipe }) => {
      const place = (lines.get(recipe.id) ?? 0) + 1;
      lines.set(recipe.id, place);
      return [id, place];
    }),
  );
}

function useWaiting() {
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
