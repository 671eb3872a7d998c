import { useQuery, queryOptions } from '@tanstack/react-query';
import { useState } from 'react';
import { api, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Card } from '../../ui/card.tsx';
import { focusLater } from '../../ui/focus-later.ts';
import { Fields, Form } from '../../ui/form.tsx';
import { DecimalField } from '../../ui/number-fields.tsx';
import { Row } from '../../ui/page.tsx';
import { QueryView } from '../../ui/query-view.tsx';
import { SubmitOrCancel } from '../../ui/submit-or-cancel.tsx';
import { say } from '../../ui/toast.tsx';
import { useKnownVersion } from './use-known-version.ts';

type HouseholdKitchen = Schemas['HouseholdKitchen'];

const householdKitchenQuery = (cooperativeId: string, householdId: string) =>
  queryOptions({
    queryKey: ['household-kitchen', cooperativeId, householdId],
    meta: { topics: ['households'] },
    queryFn: () =>
      ok<HouseholdKitchen>(
        api.GET('/api/cooperatives/{cooperativeId}/households/{householdId}/kitchen', {
          params: { path: { cooperativeId, householdId } },
        }),
      ),
  });

/** What the household's kitchen has, for the days on which the cooperative cooks there. */
export function KitchenCard({ householdId, mayChange }: { householdId: string; mayChange: boolean }) {
  const t = useT();
  const { cooperativeId } = useSession();
  const [isOpen, setOpen] = useState(false);
  const kitchen = useQuery(householdKitchenQuery(cooperativeId, householdId));
  const close = () => {
    setOpen(false);
    focusLater('#kitchen .button');
  };
  return (
    <Card title={t('household.kitchen.title')} id="kitchen">
      <QueryView query={kitchen} lines={2}>
        {(data) => (
          <>
            {isOpen ? <KitchenForm kitchen={data} onDone={close} /> : <WhatItHas kitchen={data} />}
            {mayChange && !isOpen && (
              <Row>
                <Button onPress={() => setOpen(true)}>{t('household.kitchen.change')}</Button>
              </Row>
            )}
          </>
        )}
      </QueryView>
    </Card>
  );
}

function WhatItHas({ kitchen: { hobs, ovens, potsLitres, benchPeople } }: { kitchen: HouseholdKitchen }) {
  const t = useT();
  const formats = useFormats();
  if (hobs === null && ovens === null && potsLitres.length === 0 && benchPeople === null) {
    return <p className="soft">{t('household.kitchen.unknown')}</p>;
  }
  const litres = (value: string) => formats.unit(value, 'liter', { least: 0, most: 1 });
  const parts = [
    hobs !== null && t('household.kitchen.hobs', { n: hobs }),
    ovens !== null && t('household.kitchen.ovens', { n: ovens }),
    potsLitres.length > 0 && t('household.kitchen.potsOf', { list: formats.list(potsLitres.map(litres)) }),
    benchPeople !== null && t('household.kitchen.people', { n: benchPeople }),
  ];
  return <p>{formats.list(parts.filter((part) => part !== false))}</p>;
}

function KitchenForm({ kitchen, onDone }: { kitchen: HouseholdKitchen; onDone: () => void }) {
  const t = useT();
  const formats = useFormats();
  const { cooperativeId } = useSession();
  const count = (value: number | null) => (value === null ? null : String(value));
  const [hobs, setHobs] = useState(count(kitchen.hobs));
  const [ovens, setOvens] = useState(count(kitchen.ovens));
  const [people, setPeople] = useState(count(kitchen.benchPeople));
  const [pots, setPots] = useState<(string | null)[]>(kitchen.potsLitres);
  const { householdId, version } = kitchen;
  const withVersion = useKnownVersion(version, householdKitchenQuery(cooperativeId, householdId).queryKey);
  const save = useWrite<Schemas['SaveHouseholdKitchen'], HouseholdKitchen>({
    write: (body, headers) =>
      withVersion((known) =>
        ok<HouseholdKitchen>(
          api.PUT('/api/cooperatives/{cooperativeId}/households/{householdId}/kitchen', {
            params: { path: { cooperativeId, householdId } },
            body,
            headers: { ...headers, ...known },
          }),
        ),
      ),
    topics: ['households', 'kitchen'],
    onSuccess: () => {
      say(t('household.kitchen.saved'));
      onDone();
    },
  });
  const whole = (value: string | null) => (value === null ? null : Number(value));
  const send = () =>
    save.mutate({
      hobs: whole(hobs),
      ovens: whole(ovens),
      benchPeople: whole(people),
      potsLitres: pots.filter((litres) => litres !== null),
    });
  return (
    <Form
      label={t('household.kitchen.title')}
      onSubmit={send}
      error={save.error}
      acts={<SubmitOrCancel submit={t('common.save')} isPending={save.isPending} onCancel={onDone} />}
    >
      <Fields two>
        <DecimalField
          name="hobs"
          label={t('household.kitchen.hobCount')}
          decimals={0}
          value={hobs}
          onChange={setHobs}
        />
        <DecimalField
          name="ovens"
          label={t('household.kitchen.ovenCount')}
          decimals={0}
          value={ovens}
          onChange={setOvens}
        />
        <DecimalField
          name="benchPeople"
          label={t('household.kitchen.room')}
          decimals={0}
          value={people}
          onChange={setPeople}
        />
        {pots.map((litres, index) => (
          <DecimalField
            key={index}
            name={`potsLitres/${index}`}
            label={t('household.kitchen.pot', { number: formats.number(index + 1) })}
            unit={t('household.litres')}
            value={litres}
            onChange={(next) => setPots(pots.map((old, each) => (each === index ? next : old)))}
          />
        ))}
      </Fields>
      <Row>
        <Button onPress={() => setPots([...pots, null])}>{t('household.kitchen.addPot')}</Button>
      </Row>
      <p className="small soft">{t('household.kitchen.potsHint')}</p>
    </Form>
  );
}
