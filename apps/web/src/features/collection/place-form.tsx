import { useState } from 'react';
import { instantOf, timeIn } from '../../lib/format/zoned-time.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Choices, DateField, TextField } from '../../ui/fields.tsx';
import { Fields, Form } from '../../ui/form.tsx';
import { SubmitOrCancel } from '../../ui/submit-or-cancel.tsx';
import type { Collection } from './collection-query.ts';
import { useSaveCollection } from './use-collection.ts';

interface SlotDraft {
  key: number;
  id: string | null;
  day: string;
  from: string;
  to: string;
}

const FIRST = { from: '17:00', to: '19:00' };
const LAST = '20:00';

/** Place, times and the last moment, typed in the cooperative's own clock. */
export function PlaceForm({ collection, onDone }: { collection: Collection; onDone: () => void }) {
  const t = useT();
  const { timeZone, dateOf } = useFormats();
  const { cooperative } = useSession();
  const save = useSaveCollection(collection, onDone);
  const [place, setPlace] = useState(collection.place);
  const [slots, setSlots] = useState<SlotDraft[]>(() => {
    const known = collection.slots.map(({ id, startsAt, endsAt }, key) => ({
      key,
      id,
      day: dateOf(startsAt),
      from: timeIn(startsAt, timeZone),
      to: timeIn(endsAt, timeZone),
    }));
    return known.length > 0 ? known : [{ key: 0, id: null, day: cooperative.today, ...FIRST }];
  });
  const by = collection.collectBy;
  const [lastDay, setLastDay] = useState(by === null ? cooperative.today : dateOf(by));
  const [lastTime, setLastTime] = useState(by === null ? LAST : timeIn(by, timeZone));
  const [after, setAfter] = useState(collection.afterDeadline);
  const change = (key: number, more: Partial<SlotDraft>) =>
    setSlots(slots.map((slot) => (slot.key === key ? { ...slot, ...more } : slot)));
  const add = () => {
    const last = slots.at(-1);
    setSlots([...slots, { key: (last?.key ?? 0) + 1, id: null, day: last?.day ?? cooperative.today, ...FIRST }]);
  };
  const submit = () =>
    save.mutate({
      place,
      collectBy: instantOf(lastDay, lastTime, timeZone),
      afterDeadline: after,
      slots: slots.map(({ id, day, from, to }) => ({
        id,
        startsAt: instantOf(day, from, timeZone),
        endsAt: instantOf(day, to, timeZone),
      })),
    });
  return (
    <Form
      label={t('collection.where')}
      onSubmit={submit}
      error={save.error}
      acts={<SubmitOrCancel submit={t('common.save')} isPending={save.isPending} onCancel={onDone} />}
    >
      <TextField
        name="place"
        label={t('collection.place')}
        hint={t('collection.placeHint')}
        required
        maxLength={120}
        value={place}
        onChange={setPlace}
      />
      {slots.map((slot, index) => (
        <fieldset key={slot.key} className="collect-slot">
          <legend>{t('collection.slotNumber', { n: index + 1 })}</legend>
          <Fields two>
            <DateField
              name={`slotDay${index}`}
              label={t('collection.slotDay')}
              required
              value={slot.day}
              onChange={(day) => change(slot.key, { day })}
            />
            <TextField
              type="time"
              name={`slots/${index}/startsAt`}
              label={t('collection.slotFrom')}
              required
              value={slot.from}
              onChange={(from) => change(slot.key, { from })}
            />
            <TextField
              type="time"
              name={`slots/${index}/endsAt`}
              label={t('collection.slotTo')}
              required
              value={slot.to}
              onChange={(to) => change(slot.key, { to })}
            />
          </Fields>
          <Button kind="plain" onPress={() => setSlots(slots.filter(({ key }) => key !== slot.key))}>
            {t('collection.removeSlot')}
          </Button>
        </fieldset>
      ))}
      <Button onPress={add}>{t('collection.addSlot')}</Button>
      <Fields two>
        <DateField
          name="collectBy"
          label={t('collection.deadlineDay')}
          required
          value={lastDay}
          onChange={setLastDay}
        />
        <TextField
          type="time"
          name="collectByTime"
          label={t('collection.deadlineTime')}
          required
          value={lastTime}
          onChange={setLastTime}
        />
      </Fields>
      <Choices
        name="afterDeadline"
        label={t('collection.after')}
        value={after}
        options={(['keep', 'release'] as const).map((value) => ({ value, label: t(`collection.after.${value}`) }))}
        onChange={(value) => setAfter(value as typeof after)}
      />
    </Form>
  );
}
