import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { LabelCodes } from '../../ui/label-code.tsx';
import type { Collection } from './collection-query.ts';
import { useSlotWords } from './use-slot-words.ts';

/** One page of paper for each household, with boxes to tick and a line for who took it along; seen in print only. */
export function Sheets({ collection }: { collection: Collection }) {
  const t = useT();
  const formats = useFormats();
  const { cooperative } = useSession();
  const slotWords = useSlotWords();
  return (
    <div className="collect-sheets">
      {collection.parts.map((part) => {
        const slot = collection.slots.find(({ id }) => id === part.slotId);
        return (
          <section key={part.household.id} className="collect-sheet">
            <h2>{t('collection.sheet', { round: collection.roundNumber, household: part.household.name })}</h2>
            <p>
              {cooperative.name} · {formats.day(collection.today, 'dated')}
              {collection.place !== '' && <> · {collection.place}</>}
              {slot && <> · {slotWords(slot)}</>}
            </p>
            {part.delegate && <p>{t('collection.sends', { delegate: part.delegate.name })}</p>}
            <ul>
              {part.containers.map(({ id, code, dish, portions, isCollected }) => (
                <li key={id}>
                  <span className="collect-box">{isCollected ? '✓' : ''}</span>
                  <span>
                    <LabelCodes codes={[code]} /> <strong>{dish}</strong> · {t('common.portions', { n: portions })}
                  </span>
                </li>
              ))}
            </ul>
            <p className="collect-signed">{t('collection.sheetSigned')}</p>
            <p>
              {t('collection.keepCold', { cold: formats.unit('-18', 'celsius', { least: 0, most: 0 }) })}{' '}
              {t('common.notDeclared')}
            </p>
          </section>
        );
      })}
    </div>
  );
}
