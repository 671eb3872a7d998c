import { useFoodWords } from '../../lib/food-words.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { LinkButton } from '../../ui/button.tsx';
import { Card } from '../../ui/card.tsx';
import { ContainerLead } from '../../ui/container-box.tsx';
import { List, ListRow } from '../../ui/list.tsx';
import { StateMark } from '../../ui/state-mark.tsx';
import { alike } from './my-side.ts';
import type { Container } from './swap-query.ts';

/** What a household holds that ours may eat, each kind with its "Ask for it". */
export function OthersCard({ others, mayAct }: { others: readonly Container[]; mayAct: boolean }) {
  const t = useT();
  const holders = [
    ...new Map(others.flatMap(({ holder }) => (holder ? [[holder.id, holder.name] as const] : []))),
  ].sort(([, a], [, b]) => a.localeCompare(b));
  return (
    <Card title={t('swaps.others')} aside={t('common.containers', { n: others.length })}>
      {others.length === 0 && <p className="soft">{t('swaps.othersEmpty')}</p>}
      {holders.map(([id, name]) => (
        <details key={id} className="holder">
          <summary>
            <span>
              <strong>{name}</strong>{' '}
              <span className="soft">
                {t('common.containers', { n: others.filter(({ holder }) => holder?.id === id).length })}
              </span>
            </span>
          </summary>
          <HolderList containers={others.filter(({ holder }) => holder?.id === id)} mayAct={mayAct} />
        </details>
      ))}
    </Card>
  );
}

function HolderList({ containers, mayAct }: { containers: readonly Container[]; mayAct: boolean }) {
  const t = useT();
  const formats = useFormats();
  const food = useFoodWords();
  return (
    <List small>
      {alike(containers).map(({ dish, portions, bestBefore, containers: same }) => {
        const free = same.find(({ offered }) => !offered);
        return (
          <ListRow
            key={same[0]?.id}
            lead={<ContainerLead portions={portions} />}
            title={dish}
            detail={
              <>
                {t('swaps.containersOf', { n: same.length, portions })} ·{' '}
                {t('swaps.bestBefore', { date: formats.day(bestBefore, 'dated') })} ·{' '}
                {food.allergens(same[0]?.allergens ?? [])}
              </>
            }
            acts={
              free && mayAct ? (
                <LinkButton
                  to="/swaps"
                  search={{ ask: free.id }}
                  kind="plain"
                  aria-label={t('swaps.askForNamed', { dish })}
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
  );
}
