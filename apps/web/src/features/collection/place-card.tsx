import { useState } from 'react';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Card, Empty } from '../../ui/card.tsx';
import { Row } from '../../ui/page.tsx';
import type { Collection } from './collection-query.ts';
import { PlaceForm } from './place-form.tsx';
import { useSlotWords } from './use-slot-words.ts';

/** Where containers are collected and at what times; set and changed by a coordinator. */
export function PlaceCard({ collection }: { collection: Collection }) {
  const t = useT();
  const { can } = useSession();
  const [isOpen, setOpen] = useState(false);
  const isSet = collection.state === 'set';
  return (
    <Card title={t('collection.where')}>
      {isOpen ? (
        <PlaceForm collection={collection} onDone={() => setOpen(false)} />
      ) : (
        <>
          {isSet ? (
            <Place collection={collection} />
          ) : (
            <Empty title={t('collection.noneYet')}>{t('collection.noneYetWords')}</Empty>
          )}
          {can('coordinator') && (
            <Row>
              <Button onPress={() => setOpen(true)}>{t(isSet ? 'collection.changeIt' : 'collection.setIt')}</Button>
            </Row>
          )}
        </>
      )}
    </Card>
  );
}

function Place({ collection: { place, slots, collectBy, afterDeadline } }: { collection: Collection }) {
  const t = useT();
  const formats = useFormats();
  const slotWords = useSlotWords();
  return (
    <>
      <p>
        <strong>{place}</strong>
      </p>
      {slots.length > 0 && (
        <ul className="collect-slots">
          {slots.map((slot) => (
            <li key={slot.id}>{slotWords(slot)}</li>
          ))}
        </ul>
      )}
      {collectBy !== null && (
        <p className="soft">
          {t('collection.until', { at: formats.dayTime(collectBy) })} {t('collection.after')}{' '}
          {t(`collection.after.${afterDeadline}`)}.
        </p>
      )}
    </>
  );
}
