import { useFoodWords } from '../../lib/food-words.ts';
import { useKeptState } from '../../lib/kept-state.ts';
import { useT } from '../../lib/locale.tsx';
import { Tick } from '../../ui/fields.tsx';
import type { RunSheet } from './run-sheet-query.ts';

/** What goes into the making of my step, to tick off while it is gathered. */
export function MakingAmounts({ making }: { making: RunSheet['makings'][number] }) {
  const t = useT();
  const food = useFoodWords();
  const [gathered, setGathered] = useKeptState<number[]>(`making.${making.key}`, () => []);
  return (
    <details className="kitchen-amounts" open={gathered.length < making.amounts.length}>
      <summary>
        {t('kitchen.amounts')}{' '}
        <span className="soft">{t('kitchen.gathered', { done: gathered.length, count: making.amounts.length })}</span>
      </summary>
      <ul className="list" role="list">
        {making.amounts.map((amount, index) => (
          <li className="list-row" key={index}>
            <Tick
              tall
              isSelected={gathered.includes(index)}
              onChange={(on) => setGathered((old) => (on ? [...old, index] : old.filter((each) => each !== index)))}
            >
              {amount.name}
            </Tick>
            <strong className="number">{food.amount(amount.exact, amount.unit)}</strong>
          </li>
        ))}
      </ul>
    </details>
  );
}
