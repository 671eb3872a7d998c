import { useFoodWords } from '../../lib/food-words.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { LinkButton } from '../../ui/button.tsx';
import { Card } from '../../ui/card.tsx';
import { ContainerLead } from '../../ui/container-box.tsx';
import { List, ListRow } from '../../ui/list.tsx';
import { StateMark } from '../../ui/state-mark.tsx';
import { alike } from './my-side.ts';
import type { SwapBoard } from './swap-query.ts';

/** "Others offer": what others hold out and my household may eat, each kind with its "Ask for it". */
export function OthersOfferCard({ board, mayAct }: { board: SwapBoard; mayAct: boolean }) {
  const t = useT();
  const formats = useFormats();
  const food = useFoodWords();
  const offered = board.others.filter(({ id }) => board.othersOffer.includes(id));
  const holders = [...new Map(offered.flatMap(({ holder }) => (holder ? [[holder.id, holder]] : [])))].map(
    ([, holder]) => holder,
  );
  const rows = holders.flatMap((holder) =>
    alike(offered.filter((container) => container.holder?.id === holder.id)).map((same) => ({ holder, ...same })),
  );
  return (
    <Card
      title={t('swaps.othersOffer')}
      aside={<StateMark state="offered">{t('swaps.offeredCount', { n: offered.length })}</StateMark>}
    >
      {rows.length === 0 && <p className="soft">{t('swaps.othersOfferEmpty')}</p>}
      <List small>
        {rows.map(({ holder, dish, portions, bestBefore, containers }) => {
          const free = containers.find((container) => !container.offered);
          return (
            <ListRow
              key={containers[0]?.id}
              lead={<ContainerLead portions={portions} />}
              title={dish}
              detail={
                <>
                  {holder.name} · {t('swaps.containersOf', { n: containers.length, portions })} ·{' '}
                  {t('swaps.bestBefore', { date: formats.day(bestBefore, 'dated') })} ·{' '}
                  {food.allergens(containers[0]?.allergens ?? [])}
                </>
              }
              acts={
                free && mayAct ? (
                  <LinkButton
                    to="/swaps"
                    search={{ ask: free.id }}
                    kind="plain"
                    aria-label={t('swaps.askForOf', { dish, other: holder.name })}
                  >
                    {t('swaps.askFor')}
                  </LinkButton>
                ) : (
                  !free && <StateMark state="waiting">{t('swaps.inSwap')}</StateMark>
                )
              }
            />
          );
        })}
      </List>
    </Card>
  );
}
