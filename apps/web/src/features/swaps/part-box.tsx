import { useFoodWords } from '../../lib/food-words.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { LabelCodes } from '../../ui/label-code.tsx';
import { alike, type MySide } from './my-side.ts';
import type { Container } from './swap-query.ts';
import './swaps.css';

/** "Your part": what my household gives and gets, in a box of its own. */
export function PartBox({ side }: { side: Pick<MySide, 'give' | 'get'> }) {
  const t = useT();
  return (
    <dl className="part-box">
      <dt>{t('swaps.youGive')}</dt>
      <dd>
        <Containers containers={side.give} />
      </dd>
      <dt>{t('swaps.youGet')}</dt>
      <dd>
        <Containers containers={side.get} withAllergens />
      </dd>
    </dl>
  );
}

function Containers({ containers, withAllergens }: { containers: readonly Container[]; withAllergens?: boolean }) {
  const t = useT();
  const formats = useFormats();
  const food = useFoodWords();
  return (
    <ul>
      {alike(containers).map(({ dish, portions, bestBefore, containers: same }) => (
        <li key={same[0]?.id}>
          <strong>{t('swaps.containerWords', { n: same.length, dish, portions })}</strong>
          <span className="table-cell-note">
            {t('swaps.bestBefore', { date: formats.day(bestBefore, 'dated') })} ·{' '}
            <LabelCodes codes={same.map(({ code }) => code)} />
            {withAllergens && <> · {food.allergens(same[0]?.allergens ?? [])}</>}
          </span>
        </li>
      ))}
    </ul>
  );
}

/** What a swap does to my household's portions: they stay, come later, or are taken off later. */
export function PortionsWords({ given, got }: { given: number; got: number }) {
  const t = useT();
  if (given === got) return <p>{t('swaps.portionsStay')}</p>;
  const key = given > got ? 'swaps.portionsToCome' : 'swaps.portionsAhead';
  return <p>{t(key, { given, got, n: Math.abs(given - got) })}</p>;
}

/** Which of the two keeps longer, where that differs. */
export function KeepsWords({ side }: { side: Pick<MySide, 'give' | 'get'> }) {
  const t = useT();
  const formats = useFormats();
  const first = (containers: readonly Container[]) => containers.map(({ bestBefore }) => bestBefore).sort()[0];
  const [mine, theirs] = [first(side.give), first(side.get)];
  if (!mine || !theirs || mine === theirs) return null;
  const dates = { theirs: formats.day(theirs, 'dated'), mine: formats.day(mine, 'dated') };
  return <p>{t(theirs > mine ? 'swaps.theirsKeepsLonger' : 'swaps.oursKeepsLonger', dates)}</p>;
}
