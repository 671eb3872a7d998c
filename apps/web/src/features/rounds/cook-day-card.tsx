import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { api, ok } from '../../lib/api/client.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useFormats } from '../../lib/formats.ts';
import { householdsQuery } from '../../lib/household-queries.ts';
import { useT } from '../../lib/locale.tsx';
import type { Round } from '../../lib/round-stage.ts';
import { useCooperativeId, useSession } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Card, Empty } from '../../ui/card.tsx';
import { DateTab } from '../../ui/date-tab.tsx';
import { DateField, Select, TextField, Tick } from '../../ui/fields.tsx';
import { FieldError, Fields, Form } from '../../ui/form.tsx';
import { List, ListRow } from '../../ui/list.tsx';
import { Row, Stack } from '../../ui/page.tsx';
import { SubmitOrCancel } from '../../ui/submit-or-cancel.tsx';
import { say } from '../../ui/toast.tsx';

type CookDay = Round['cookDays'][number];

/** Where and when the round is cooked, and by whom. */
export function CookDayCard({ round }: { round: Round }) {
  const t = useT();
  const formats = useFormats();
  const { can, householdId } = useSession();
  const [edited, setEdited] = useState<CookDay | 'new' | null>(null);
  const mayChange =
    can('coordinator') && (round.stage === 'planning' || round.stage === 'buying' || round.stage === 'cooking');
  const act = mayChange && edited === null && (
    <Button onPress={() => setEdited(round.cookDays[0] ?? 'new')}>
      {t(round.cookDays.length === 0 ? 'round.setKitchen' : 'round.changeCookDay')}
    </Button>
  );
  return (
    <Card title={t('round.cookDay')} id="cook-day">
      {round.cookDays.length === 0 && edited === null && (
        <Empty title={t('round.noCookDay')} action={act}>
          {t('round.noCookDayWords')}
        </Empty>
      )}
      {round.cookDays.length > 0 && (
        <List small>
          {round.cookDays.map((day) => (
            <ListRow
              key={day.id}
              lead={<DateTab date={day.date} />}
              title={t('round.kitchenAt', { household: day.kitchen.name, time: formats.clock(day.startsAt) })}
              detail={
                cooksOf(day).length === 0
                  ? t('round.nobodyYet')
                  : t('round.cooks', { households: formats.list(cooksOf(day)) })
              }
              mine={day.turns.some(({ household }) => household.id === householdId)}
            />
          ))}
        </List>
      )}
      {round.cookDays.length > 0 && act && <Row>{act}</Row>}
      {edited !== null && (
        <CookDayForm round={round} day={edited === 'new' ? null : edited} onDone={() => setEdited(null)} />
      )}
    </Card>
  );
}

const cooksOf = (day: CookDay): string[] => day.turns.map(({ household }) => household.name);

function CookDayForm({ round, day, onDone }: { round: Round; day: CookDay | null; onDone: () => void }) {
  const t = useT();
  const cooperativeId = useCooperativeId();
  const households = (useQuery(householdsQuery(cooperativeId)).data ?? []).filter(({ leftOn }) => leftOn === null);
  const [date, setDate] = useState(day?.date ?? round.cookOn);
  const [startsAt, setStartsAt] = useState(day?.startsAt.slice(0, 5) ?? '09:00');
  const [kitchen, setKitchen] = useState(day?.kitchen.id ?? '');
  const [cooks, setCooks] = useState<readonly string[]>(day?.turns.map(({ household }) => household.id) ?? []);
  const [triedWithoutCook, setTried] = useState(false);
  const save = useWrite<Schemas['SaveCookDay'], Round>({
    write: (body, headers) =>
      ok<Round>(
        api.PUT('/api/cooperatives/{cooperativeId}/rounds/{roundId}/cook-days', {
          params: { path: { cooperativeId, roundId: round.id } },
          body,
          headers,
        }),
      ),
    topics: ['rounds', 'kitchen', 'cooperative'],
    onSuccess: () => {
      say(t('round.cookDaySaved'));
      onDone();
    },
  });
  const submit = () => save.mutate({ date, startsAt, kitchenHouseholdId: kitchen, householdIds: [...cooks] });
  const hasCooks = () => {
    setTried(cooks.length === 0);
    return cooks.length > 0;
  };
  return (
    <Form
      label={t('round.cookDay')}
      onSubmit={submit}
      isReady={hasCooks}
      error={save.error}
      acts={<SubmitOrCancel submit={t('common.save')} isPending={save.isPending} onCancel={onDone} />}
    >
      <Fields two>
        <DateField name="date" label={t('round.field.cookOn')} required value={date} onChange={setDate} />
        <TextField
          name="startsAt"
          type="time"
          label={t('round.field.startsAt')}
          required
          value={startsAt}
          onChange={setStartsAt}
        />
      </Fields>
      <Select
        name="kitchenHouseholdId"
        label={t('round.field.kitchen')}
        required
        value={kitchen}
        onChange={setKitchen}
        options={[
          { value: '', label: t('round.choose') },
          ...households.map(({ id, name }) => ({ value: id, label: t('round.kitchenOf', { household: name }) })),
        ]}
      />
      <fieldset className="choices" aria-describedby={triedWithoutCook ? 'cooks-error' : undefined}>
        <legend>{t('round.field.cooks')}</legend>
        <Stack gap="tight">
          {households.map(({ id, name }) => (
            <Tick
              key={id}
              isSelected={cooks.includes(id)}
              onChange={(chosen) => {
                setTried(false);
                setCooks(chosen ? [...cooks, id] : cooks.filter((each) => each !== id));
              }}
            >
              {name}
            </Tick>
          ))}
        </Stack>
        {triedWithoutCook && <FieldError id="cooks">{t('round.field.cooksMissing')}</FieldError>}
      </fieldset>
    </Form>
  );
}
