import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Card, Empty } from '../../ui/card.tsx';
import { DateTab } from '../../ui/date-tab.tsx';
import { List, ListRow } from '../../ui/list.tsx';
import { StateMark } from '../../ui/state-mark.tsx';
import type { Rota, Turn } from './rota-queries.ts';
import { TurnActs } from './turn-acts.tsx';

const SHAPES = { published: 'taken', swapped: 'taken', covered: 'taken', open: 'free', 'not-done': 'free' } as const;

/** Published turns from this week on; a coordinator can give them up or hand them over for a household. */
export function PublishedCard({ rota }: { rota: Rota }) {
  const t = useT();
  const { householdId } = useSession();
  const ours = new Set(rota.turns.filter(({ household }) => household?.id === householdId).map(({ weekOf }) => weekOf));
  return (
    <Card title={t('rota.publishedTurns')} id="published">
      {rota.turns.length === 0 ? (
        <Empty title={t('rota.nothingPublished')}>{t('rota.nothingPublishedWords')}</Empty>
      ) : (
        <List ordered>
          {rota.turns.map((turn) => (
            <TurnRow key={turn.id} turn={turn} weCook={ours.has(turn.weekOf)} />
          ))}
        </List>
      )}
    </Card>
  );
}

function TurnRow({ turn, weCook }: { turn: Turn; weCook: boolean }) {
  const t = useT();
  const formats = useFormats();
  const { householdId, can } = useSession();
  const isOurs = turn.household?.id === householdId;
  // Who cooks in the week already cannot take another turn of it.
  const mayAct = isOurs || (can('coordinator') && !(turn.household === null && weCook));
  return (
    <ListRow
      mine={isOurs}
      lead={<DateTab date={turn.weekOf} withoutWeekday />}
      title={turn.household === null ? t('thisWeek.nobody') : isOurs ? t('thisWeek.youCook') : turn.household.name}
      detail={t('rota.weekOf', { date: formats.day(turn.weekOf, 'short') })}
      acts={mayAct ? <TurnActs turn={turn} /> : undefined}
    >
      <span className="small">
        <StateMark state={SHAPES[turn.state]}>{t(`rota.state.${turn.state}`)}</StateMark>
      </span>
    </ListRow>
  );
}
