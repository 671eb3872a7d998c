import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Card } from '../../ui/card.tsx';
import { Row } from '../../ui/page.tsx';
import { Problem } from '../../ui/problem-box.tsx';
import { StateMark } from '../../ui/state-mark.tsx';
import type { Collection, Part } from './collection-query.ts';
import { useRelease } from './use-collection.ts';

const leftOf = ({ containers }: Part): number => containers.filter(({ isCollected }) => !isCollected).length;

/** After the last moment: what is still there, told to its household, to whoever collects for it and to coordinators. */
export function UncollectedCard({ collection }: { collection: Collection }) {
  const t = useT();
  const formats = useFormats();
  const { householdId, can } = useSession();
  const release = useRelease(collection.roundId);
  const late = collection.parts.filter((part) => leftOf(part) > 0);
  const ours = late.filter(({ household, delegate }) => [household.id, delegate?.id].includes(householdId));
  const isCoordinator = can('coordinator');
  if (!collection.isOver || collection.collectBy === null) return null;
  if (!isCoordinator && ours.length === 0) return null;
  const at = formats.dayTime(collection.collectBy);
  return (
    <Card framed title={<StateMark state="waiting">{t('collection.overSince', { at })}</StateMark>}>
      {late.length === 0 ? null : (
        <>
          <p>
            {isCoordinator
              ? t('collection.overWords', { list: formats.list(late.map(({ household }) => household.name)) })
              : t('collection.overOurs', { n: ours.reduce((sum, part) => sum + leftOf(part), 0) })}{' '}
            {t(`collection.over.${collection.afterDeadline}`)}
          </p>
          <Problem error={release.error} />
          {isCoordinator && collection.afterDeadline === 'release' && (
            <Row>
              {late.map((part) => (
                <Button
                  key={part.household.id}
                  isPending={release.isPending && release.variables?.id === part.household.id}
                  onPress={() => release.mutate(part.household)}
                >
                  {t('collection.release', { household: part.household.name, n: leftOf(part) })}
                </Button>
              ))}
            </Row>
          )}
        </>
      )}
    </Card>
  );
}
