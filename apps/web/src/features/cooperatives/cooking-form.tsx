import { useQuery } from '@tanstack/react-query';
import { comingWeeks } from '@frostmoot/calc';
import { useState } from 'react';
import { api, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { recipesQuery } from '../../lib/recipe-queries.ts';
import { useSession } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { DateField, Tick } from '../../ui/fields.tsx';
import { Form } from '../../ui/form.tsx';
import { List, ListRow } from '../../ui/list.tsx';
import { DecimalField } from '../../ui/number-fields.tsx';
import { SubmitOrCancel } from '../../ui/submit-or-cancel.tsx';
import { say } from '../../ui/toast.tsx';
import { cookingQuery, type Cooking } from './cooking-query.ts';
import { useKnownVersion } from './use-known-version.ts';

/** Rest, away weeks and dishes, as typed. */
export function CookingForm({ cooking, onDone }: { cooking: Cooking; onDone: () => void }) {
  const t = useT();
  const [gap, setGap] = useState<string | null>(String(cooking.minGapWeeks));
  const [away, setAway] = useState<readonly string[]>(cooking.awayWeeks);
  const [dishes, setDishes] = useState<ReadonlySet<string>>(new Set(cooking.dishes.map(({ id }) => id)));
  const save = useSave(cooking, onDone);
  const submit = () => {
    if (gap === null) return;
    save.mutate({ minGapWeeks: Number(gap), awayWeeks: [...away], recipeIds: [...dishes] });
  };
  return (
    <Form
      label={t('household.cooking')}
      onSubmit={submit}
      error={save.error}
      acts={<SubmitOrCancel submit={t('common.save')} isPending={save.isPending} onCancel={onDone} />}
    >
      <DecimalField
        name="minGapWeeks"
        label={t('household.cooking.gap')}
        decimals={0}
        required
        value={gap}
        onChange={setGap}
      />
      <AwayWeeks value={away} onChange={setAway} />
      <Dishes value={dishes} onChange={setDishes} />
    </Form>
  );
}

function useSave(cooking: Cooking, onDone: () => void) {
  const t = useT();
  const { cooperativeId } = useSession();
  const householdId = cooking.household.id;
  const withVersion = useKnownVersion(cooking.version, cookingQuery(cooperativeId, householdId).queryKey);
  return useWrite<Schemas['SaveHouseholdCooking'], Cooking>({
    write: (body, headers) =>
      withVersion((version) =>
        ok<Cooking>(
          api.PUT('/api/cooperatives/{cooperativeId}/households/{householdId}/cooking', {
            params: { path: { cooperativeId, householdId } },
            body,
            headers: { ...headers, ...version },
          }),
        ),
      ),
    topics: ['households', 'rota'],
    onSuccess: () => {
      say(t('household.cooking.saved'));
      onDone();
    },
  });
}

function AwayWeeks({ value, onChange }: { value: readonly string[]; onChange: (weeks: readonly string[]) => void }) {
  const t = useT();
  const formats = useFormats();
  const { cooperative } = useSession();
  const [day, setDay] = useState(cooperative.today);
  const add = () => {
    const [monday] = day === '' ? [] : comingWeeks(day, 1);
    if (monday !== undefined && !value.includes(monday)) onChange([...value, monday].sort());
  };
  return (
    <fieldset className="choices">
      <legend>{t('household.cooking.away')}</legend>
      {value.length > 0 && (
        <List small>
          {value.map((week) => (
            <ListRow
              key={week}
              title={formats.day(week, 'dated')}
              acts={
                <Button kind="plain" onPress={() => onChange(value.filter((other) => other !== week))}>
                  {t('household.cooking.removeAway', { date: formats.day(week, 'short') })}
                </Button>
              }
            />
          ))}
        </List>
      )}
      <DateField
        label={t('household.cooking.addAway')}
        hint={t('household.cooking.awayHint')}
        value={day}
        onChange={setDay}
      />
      <Button onPress={add}>{t('household.cooking.addAway')}</Button>
    </fieldset>
  );
}

function Dishes({ value, onChange }: { value: ReadonlySet<string>; onChange: (ids: ReadonlySet<string>) => void }) {
  const t = useT();
  const { cooperativeId } = useSession();
  const recipes = useQuery(recipesQuery(cooperativeId)).data ?? [];
  const toggle = (id: string, on: boolean) => {
    const next = new Set(value);
    if (on) next.add(id);
    else next.delete(id);
    onChange(next);
  };
  if (recipes.length === 0) return null;
  return (
    <fieldset className="choices">
      <legend>{t('household.cooking.dishes')}</legend>
      {recipes.map(({ id, name }) => (
        <Tick key={id} isSelected={value.has(id)} onChange={(on) => toggle(id, on)}>
          {name}
        </Tick>
      ))}
    </fieldset>
  );
}
