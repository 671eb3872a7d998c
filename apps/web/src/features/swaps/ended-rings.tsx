import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { ListRow } from '../../ui/list.tsx';
import { StateMark } from '../../ui/state-mark.tsx';
import { alike } from './my-side.ts';
import type { Container, Ring } from './swap-query.ts';

/** What became of a ring: whether anything moved, and if not, why. */
export function EndedRingRow({ ring }: { ring: Ring }) {
  const t = useT();
  const formats = useFormats();
  const [me, ...others] = ring.members;
  const words = (containers: readonly Container[] = []) =>
    formats.list(
      alike(containers).map(({ dish, portions, containers: same }) =>
        t('swaps.containerWords', { n: same.length, dish, portions }),
      ),
    );
  const isDone = ring.state === 'done';
  const decliner = ring.members.find(({ answer }) => answer === 'declined')?.household;
  const end = ring.state === 'lapsed' ? (ring.reason ?? 'changed') : ring.state;
  return (
    <ListRow
      title={t('swaps.ring.with', { others: formats.list(others.map(({ household }) => household.name)) })}
      detail={t('swaps.gaveGot', {
        give: words(ring.steps[0]?.containers),
        get: words(ring.steps.at(-1)?.containers),
        done: isDone ? 'yes' : 'no',
      })}
    >
      <StateMark state={isDone ? 'done' : 'away'}>
        {t(`swaps.ring.end.${end as 'done'}`, {
          who: decliner && decliner.id === me?.household.id ? 'you' : 'other',
          other: decliner?.name ?? '',
          at: formats.dayTime(ring.closedAt ?? ring.openUntil),
          dish: ring.gone?.dish ?? '',
          code: ring.gone?.code ?? '',
        })}
      </StateMark>
    </ListRow>
  );
}
