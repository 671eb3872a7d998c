import { Link } from '@tanstack/react-router';
import { rational } from '@frostmoot/calc';
import { useState } from 'react';
import { isProblem } from '../../lib/api/client.ts';
import { useFoodWords } from '../../lib/food-words.ts';
import { useFormats } from '../../lib/formats.ts';
import type { Household } from '../../lib/household-queries.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Card } from '../../ui/card.tsx';
import { CellNote, DataTable, type Column } from '../../ui/data-table.tsx';
import { TextField } from '../../ui/fields.tsx';
import { focusLater } from '../../ui/focus-later.ts';
import { Fields, Form } from '../../ui/form.tsx';
import { DecimalField } from '../../ui/number-fields.tsx';
import { Row } from '../../ui/page.tsx';
import { SubmitOrCancel } from '../../ui/submit-or-cancel.tsx';
import { say } from '../../ui/toast.tsx';
import { useAddHousehold } from './use-add-household.ts';

/** Every household with what a plan needs to know of it; each name leads to its page. */
export function HouseholdsCard({ households }: { households: readonly Household[] }) {
  const t = useT();
  const { householdId } = useSession();
  const formats = useFormats();
  const [isOpen, setOpen] = useState(false);
  const close = () => {
    setOpen(false);
    focusLater('#households .button');
  };
  const all = rational.sum(households.map(({ weight }) => rational.parse(weight)));
  return (
    <Card
      title={t('coordinator.households')}
      aside={t('coordinator.headcountAll', { weight: formats.quantity(all) })}
      id="households"
    >
      <DataTable
        caption={t('coordinator.households')}
        columns={useColumns()}
        rows={households}
        rowKey={({ id }) => id}
        mine={({ id }) => id === householdId}
      />
      {isOpen ? (
        <AddForm onDone={close} />
      ) : (
        <Row>
          <Button onPress={() => setOpen(true)}>{t('coordinator.addHousehold')}</Button>
        </Row>
      )}
    </Card>
  );
}

function useColumns(): Column<Household>[] {
  const t = useT();
  const formats = useFormats();
  const food = useFoodWords();
  return [
    {
      key: 'household',
      head: t('coordinator.household'),
      rowHead: true,
      cell: ({ id, name, members }) => (
        <>
          <Link className="name-link" to="/household" search={{ household: id }}>
            {name}
          </Link>
          <CellNote>
            {members.length === 0
              ? t('coordinator.nobody')
              : formats.list(members.map(({ displayName }) => displayName))}
          </CellNote>
        </>
      ),
    },
    {
      key: 'headcount',
      head: t('coordinator.headcount'),
      number: true,
      phone: { word: t('coordinator.headcount') },
      cell: ({ weight, diners }) => (
        <>
          {formats.quantity(weight)}
          <CellNote>{t('common.people', { n: diners.length })}</CellNote>
        </>
      ),
    },
    {
      key: 'mustNot',
      head: t('coordinator.mustNot'),
      phone: { word: t('coordinator.mustNot'), wide: true },
      cell: ({ mustNot }) =>
        !mustNot || mustNot.length === 0 ? t('coordinator.nothing') : formats.list(mustNot.map(food.subject)),
    },
    {
      key: 'freezer',
      head: t('coordinator.freezer'),
      number: true,
      phone: { word: t('coordinator.freezer') },
      cell: ({ freezerLitres }) =>
        freezerLitres === null ? t('coordinator.unknown') : formats.unit(freezerLitres, 'liter', { least: 0, most: 0 }),
    },
  ];
}

function AddForm({ onDone }: { onDone: () => void }) {
  const t = useT();
  const [name, setName] = useState('');
  const [freezerLitres, setFreezerLitres] = useState<string | null>(null);
  const add = useAddHousehold((household) => {
    say(t('coordinator.added', { household: household.name }));
    onDone();
  });
  const isTaken = isProblem(add.error, 'conflict');
  return (
    <Form
      label={t('coordinator.addHousehold')}
      onSubmit={() => add.mutate({ name, freezerLitres, ownWeight: null })}
      error={isTaken ? null : add.error}
      acts={<SubmitOrCancel submit={t('coordinator.addHousehold')} isPending={add.isPending} onCancel={onDone} />}
    >
      <Fields two>
        <TextField
          name="name"
          label={t('household.name')}
          required
          maxLength={120}
          value={name}
          onChange={setName}
          error={isTaken ? t('household.nameTaken') : undefined}
        />
        <DecimalField
          name="freezerLitres"
          label={t('household.freezerLitres')}
          unit={t('household.litres')}
          value={freezerLitres}
          onChange={setFreezerLitres}
        />
      </Fields>
    </Form>
  );
}
