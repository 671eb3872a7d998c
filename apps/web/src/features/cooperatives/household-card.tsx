import { rational } from '@frostmoot/calc';
import { useState } from 'react';
import { api, isProblem, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useFormats } from '../../lib/formats.ts';
import type { Household } from '../../lib/household-queries.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { LitresBar } from '../../ui/bars.tsx';
import { Button } from '../../ui/button.tsx';
import { Card } from '../../ui/card.tsx';
import { TextField } from '../../ui/fields.tsx';
import { focusLater } from '../../ui/focus-later.ts';
import { Fields, Form } from '../../ui/form.tsx';
import { DecimalField } from '../../ui/number-fields.tsx';
import { Row } from '../../ui/page.tsx';
import { SubmitOrCancel } from '../../ui/submit-or-cancel.tsx';
import { say } from '../../ui/toast.tsx';
import { householdQuery } from './household-query.ts';
import { useKnownVersion } from './use-known-version.ts';

/** The household's name, how much room its freezer has, and its own number where the cooperative counts by those. */
export function HouseholdCard({ household, mayChange }: { household: Household; mayChange: boolean }) {
  const t = useT();
  const [isOpen, setOpen] = useState(false);
  const close = () => {
    setOpen(false);
    focusLater('#freezer .button');
  };
  return (
    <Card title={t('household.freezerTitle')} id="freezer">
      <FreezerRoom household={household} />
      {isOpen && <HouseholdForm household={household} onDone={close} />}
      {mayChange && !isOpen && (
        <Row>
          <Button onPress={() => setOpen(true)}>{t('common.change')}</Button>
        </Row>
      )}
    </Card>
  );
}

function FreezerRoom({ household: { freezerLitres, litresUsed } }: { household: Household }) {
  const t = useT();
  const formats = useFormats();
  const litres = (value: string) => formats.unit(value, 'liter', { least: 0, most: 1 }, 'long');
  if (freezerLitres === null) return <p className="soft">{t('household.freezer.unknown')}</p>;
  const forDrawing = (value: string) => Number(rational.toDecimal(rational.parse(value), 3));
  return (
    <LitresBar
      title={t('household.freezer.used', { used: litres(litresUsed), total: litres(freezerLitres) })}
      used={forDrawing(litresUsed)}
      total={forDrawing(freezerLitres)}
    />
  );
}

function HouseholdForm({ household, onDone }: { household: Household; onDone: () => void }) {
  const t = useT();
  const { cooperative, cooperativeId, can } = useSession();
  const [name, setName] = useState(household.name);
  const [litres, setLitres] = useState(household.freezerLitres);
  const [ownWeight, setOwnWeight] = useState(household.ownWeight);
  const [alertDays, setAlertDays] = useState<string>(String(household.alertDays));
  const withVersion = useKnownVersion(household.version, householdQuery(cooperativeId, household.id).queryKey);
  const save = useWrite<Schemas['SaveHousehold'], Household>({
    write: (body, headers) =>
      withVersion((version) =>
        ok<Household>(
          api.PATCH('/api/cooperatives/{cooperativeId}/households/{householdId}', {
            params: { path: { cooperativeId, householdId: household.id } },
            body,
            headers: { ...headers, ...version },
          }),
        ),
      ),
    topics: ['households', 'rounds'],
    onSuccess: () => {
      say(t('household.saved'));
      onDone();
    },
  });
  const isTaken = isProblem(save.error, 'conflict');
  return (
    <Form
      label={t('household.freezerTitle')}
      onSubmit={() => save.mutate({ name, freezerLitres: litres, ownWeight, alertDays: Number(alertDays) })}
      error={isTaken ? null : save.error}
      acts={<SubmitOrCancel submit={t('common.save')} isPending={save.isPending} onCancel={onDone} />}
    >
      <TextField
        name="name"
        label={t('household.name')}
        required
        maxLength={120}
        value={name}
        onChange={setName}
        error={isTaken ? t('household.nameTaken') : undefined}
      />
      <Fields two>
        <DecimalField
          name="freezerLitres"
          label={t('household.freezerLitres')}
          hint={t('household.freezerLitresHint')}
          unit={t('household.litres')}
          value={litres}
          onChange={setLitres}
        />
        <TextField
          type="number"
          name="alertDays"
          label={t('household.alertDays')}
          hint={t('household.alertDaysHint')}
          unit={t('household.days')}
          required
          min={0}
          max={180}
          value={alertDays}
          onChange={setAlertDays}
        />
        {cooperative.weightScale === 'own' && can('coordinator') && (
          <DecimalField name="ownWeight" label={t('household.ownWeight')} value={ownWeight} onChange={setOwnWeight} />
        )}
      </Fields>
    </Form>
  );
}
