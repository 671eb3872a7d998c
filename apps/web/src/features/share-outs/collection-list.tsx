import { useFoodWords } from '../../lib/food-words.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { LabelCodes } from '../../ui/label-code.tsx';
import { portionsOf, type Container, type ShareOut } from './share-out-query.ts';
import './share-outs.css';

/** What each household collects, on one sheet of paper with a box to tick; seen in print only, in place of the page. */
export function CollectionList({ shareOut }: { shareOut: ShareOut }) {
  const t = useT();
  const formats = useFormats();
  const { cooperative } = useSession();
  const parts = shareOut.parts
    .map(({ household, containers }) => ({
      household,
      containers: containers.filter(({ state }) => state === 'sealed'),
    }))
    .filter(({ containers }) => containers.length > 0);
  return (
    <section className="collection">
      <header className="collection-head">
        <h2>{t('shareOut.list.title', { round: shareOut.roundNumber })}</h2>
        <span>
          {t('shareOut.list.asOf', { cooperative: cooperative.name, date: formats.day(cooperative.today, 'dated') })}
        </span>
      </header>
      <div className="collection-parts">
        {parts.map(({ household, containers }) => (
          <section key={household.id} className="collection-part">
            <h3>
              {t('shareOut.list.household', {
                household: household.name,
                n: containers.length,
                portions: portionsOf(containers),
              })}
            </h3>
            <ul>
              {containers.map((container) => (
                <CollectionLine key={container.id} container={container} />
              ))}
            </ul>
          </section>
        ))}
      </div>
      <p>{t('shareOut.list.keepCold', { cold: formats.unit('-18', 'celsius', { least: 0, most: 0 }) })}</p>
      <p>{t('common.notDeclared')}</p>
    </section>
  );
}

function CollectionLine({ container }: { container: Container }) {
  const t = useT();
  const food = useFoodWords();
  return (
    <li>
      <span className="collection-box" />
      <span>
        <LabelCodes codes={[container.code]} /> <strong>{container.dish}</strong> ·{' '}
        {t('common.portions', { n: container.portions })}
        <span className="collection-allergens"> · {food.allergens(container.allergens)}</span>
      </span>
    </li>
  );
}
