import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Card } from '../../ui/card.tsx';
import { List, ListRow } from '../../ui/list.tsx';
import { Row } from '../../ui/page.tsx';
import { Problem } from '../../ui/problem-box.tsx';
import { StateMark } from '../../ui/state-mark.tsx';
import type { ShareOut } from './share-out-query.ts';
import { placesOf, type LineActs } from './use-line.ts';

/** Who waits for a dish, in line, of whatever round; joining the line for one of this round, and leaving. */
export function WaitingCard(props: { shareOut: ShareOut; waits: LineActs; mayAct: boolean }) {
  const { shareOut, mayAct } = props;
  const t = useT();
  const formats = useFormats();
  const { cooperative, householdId } = useSession();
  const { join, leave } = props.waits;
  const { waiting } = shareOut;
  const places = placesOf(waiting);
  const mine = new Set(waiting.filter(({ household }) => household.id === householdId).map(({ recipe }) => recipe.id));
  const open = shareOut.dishes.filter(({ recipeId }) => !mine.has(recipeId));
  return (
    <Card title={t('shareOut.wait.title')}>
      <p className="measure soft">
        {t('shareOut.wait.words', { hours: cooperative.waitingHours })}{' '}
        {t('shareOut.wait.told', { limit: t('common.portions', { n: Number(shareOut.claimLimitMicro) / 1_000_000 }) })}
      </p>
      {shareOut.state !== 'confirmed' && <p className="measure soft">{t('shareOut.wait.early')}</p>}
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
              {t('shareOut.wait.joinNamed', { dish: name })}
            </Button>
          ))}
        </Row>
      )}
    </Card>
  );
}
