import { useQuery } from '@tanstack/react-query';
import { householdsQuery } from '../../lib/household-queries.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Card } from '../../ui/card.tsx';
import { Select } from '../../ui/fields.tsx';
import { Problem } from '../../ui/problem-box.tsx';
import type { Collection, Part } from './collection-query.ts';
import { useChoose } from './use-collection.ts';
import { useSlotWords } from './use-slot-words.ts';

/** When my household comes, and which neighbour takes ours along; each choice is saved at once. */
export function ChoiceCard({ collection, part }: { collection: Collection; part: Part }) {
  const t = useT();
  const { cooperativeId } = useSession();
  const choose = useChoose(collection.roundId);
  const slotWords = useSlotWords();
  const households = useQuery(householdsQuery(cooperativeId)).data ?? [];
  const others = households.filter(({ id, leftOn }) => id !== part.household.id && leftOn === null);
  const now = {
    householdId: part.household.id,
    slotId: part.slotId,
    delegateHouseholdId: part.delegate?.id ?? null,
  };
  return (
    <Card title={t('collection.ours')}>
      <Problem error={choose.error} />
      {collection.slots.length > 0 && (
        <Select
          label={t('collection.when')}
          value={part.slotId ?? ''}
          options={[
            { value: '', label: t('collection.anyTime') },
            ...collection.slots.map((slot) => ({ value: slot.id, label: slotWords(slot) })),
          ]}
          onChange={(slotId) => choose.mutate({ ...now, slotId: slotId || null })}
        />
      )}
      <Select
        label={t('collection.who')}
        value={part.delegate?.id ?? ''}
        options={[
          { value: '', label: t('collection.ourselves') },
          ...others.map(({ id, name }) => ({ value: id, label: name })),
        ]}
        onChange={(id) => choose.mutate({ ...now, delegateHouseholdId: id || null })}
      />
    </Card>
  );
}
