import { Fragment } from 'react';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Card } from '../../ui/card.tsx';
import { List, ListRow } from '../../ui/list.tsx';
import { StateMark } from '../../ui/state-mark.tsx';
import { EndedRingRow } from './ended-rings.tsx';
import { alike, mySide } from './my-side.ts';
import type { Container, Ring, Swap } from './swap-query.ts';

/** What became of earlier swaps: who answered, when, and whether anything moved. */
export function EndedSwaps({ swaps, rings }: { swaps: readonly Swap[]; rings: readonly Ring[] }) {
  const t = useT();
  const ended = [
    ...swaps.map((swap) => ({ id: swap.id, at: swap.answeredAt ?? swap.openUntil, row: <EndedRow swap={swap} /> })),
    ...rings.map((ring) => ({ id: ring.id, at: ring.closedAt ?? ring.openUntil, row: <EndedRingRow ring={ring} /> })),
  ].sort((a, b) => b.at.localeCompare(a.at));
  if (ended.length === 0) return null;
  return (
    <Card title={t('swaps.ended')} aside={t('swaps.endedCount', { n: ended.length })}>
      <List>
        {ended.map(({ id, row }) => (
          <Fragment key={id}>{row}</Fragment>
        ))}
      </List>
    </Card>
  );
}

function EndedRow({ swap }: { swap: Swap }) {
  const t = useT();
  const formats = useFormats();
  const { householdId } = useSession();
  const side = mySide(swap, householdId);
  const words = (containers: readonly Container[]) =>
    formats.list(
      alike(containers).map(({ dish, portions, containers: same }) =>
        t('swaps.containerWords', { n: same.length, dish, portions }),
      ),
    );
  const isDone = swap.state === 'done' || swap.state === 'accepted';
  // The proposer withdraws, the other one declines; who that was depends on which side is mine.
  const by = swap.state === 'withdrawn' ? swap.from : swap.to;
  const who = by.id === householdId ? 'you' : 'other';
  // One that ended before its time was answered, but a container had gone by then.
  const isGone = swap.state === 'lapsed' && swap.answeredAt !== null && swap.answeredAt < swap.openUntil;
  return (
    <ListRow
      title={t('swaps.with', { other: side.other.name })}
      detail={t('swaps.gaveGot', { give: words(side.give), get: words(side.get), done: isDone ? 'yes' : 'no' })}
    >
      <StateMark state={isDone ? 'done' : 'away'}>
        {t(`swaps.end.${isGone ? 'gone' : (swap.state as 'done')}`, {
          who,
          other: side.other.name,
          at: formats.dayTime(swap.answeredAt ?? swap.openUntil),
        })}
      </StateMark>
    </ListRow>
  );
}
