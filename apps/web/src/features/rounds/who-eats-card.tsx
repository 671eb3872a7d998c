import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { api, isProblem, ok } from '../../lib/api/client.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useFormats } from '../../lib/formats.ts';
import { householdsQuery } from '../../lib/household-queries.ts';
import { useT } from '../../lib/locale.tsx';
import type { Round } from '../../lib/round-stage.ts';
import { useCooperativeId, useSession } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Card, Note } from '../../ui/card.tsx';
import { CellNote, DataTable, type Column } from '../../ui/data-table.tsx';
import { Choices, DateField, Select, TextField } from '../../ui/fields.tsx';
import { Fields, Form } from '../../ui/form.tsx';
import { DecimalField } from '../../ui/number-fields.tsx';
import { Row } from '../../ui/page.tsx';
import { SubmitOrCancel } from '../../ui/submit-or-cancel.tsx';
import { say } from '../../ui/toast.tsx';

type Participant = Round['participants'][number];

/** Households of the round with their headcount and portions; who came later or changed is said with the date and the reason. */
export function WhoEatsCard({ round }: { round: Round }) {
  const t = useT();
  const { householdId, can } = useSession();
  const [isOpen, setOpen] = useState(false);
  const mayChange = can('coordinator') && round.stage !== 'settled';
  return (
    <Card title={t('round.whoEats')} aside={t('round.dinnersEach', { n: round.dinners })} id="who-eats">
      <DataTable
        caption={t('round.whoEats')}
        columns={useColumns(round)}
        rows={round.participants}
        rowKey={({ household }) => household.id}
        mine={({ household }) => household.id === householdId}
        onPhone="table"
      />
      {mayChange && !isOpen && (
        <Row>
          <Button onPress={() => setOpen(true)}>{t('round.joinLeave')}</Button>
        </Row>
      )}
      {isOpen && <ChangeForm round={round} onDone={() => setOpen(false)} />}
      <Note>
        <p>{t('round.weightsNote')}</p>
      </Note>
    </Card>
  );
}

function useColumns(round: Round): Column<Participant>[] {
  const t = useT();
  const formats = useFormats();
  const weight = (value: string) => formats.quantity(value, { least: 1, most: 2 });
  // Households that were there from the start have no reason beside their date.
  const later = ({ fromDate, reason }: Participant) =>
    reason === '' ? null : t('round.sinceBecause', { date: formats.day(fromDate, 'short'), reason });
  return [
    {
      key: 'household',
      head: t('round.household'),
      rowHead: true,
      cell: (row) => (
        <>
          {row.household.name}
          <CellNote>{later(row) ?? t('common.people', { n: row.diners })}</CellNote>
        </>
      ),
      foot: t('round.allHouseholds'),
    },
    {
      key: 'weight',
      head: t('round.headcountHead'),
      number: true,
      cell: (row) => weight(row.weight),
      foot: weight(round.totalWeight),
    },
    {
      key: 'portions',
      head: t('round.figure.portions'),
      number: true,
      cell: (row) => formats.quantity(row.portionsWanted),
      foot: formats.quantity(round.portionsWanted),
    },
  ];
}

type Change = 'joins' | 'leaves' | 'own';

function ChangeForm({ round, onDone }: { round: Round; onDone: () => void }) {
  const t = useT();
  const { cooperative } = useSession();
  const cooperativeId = useCooperativeId();
  const households = useQuery(householdsQuery(cooperativeId)).data ?? [];
  const [householdId, setHousehold] = useState('');
  const [change, setChange] = useState<Change>('joins');
  const [fromDate, setFromDate] = useState(cooperative.today);
  const [weight, setWeight] = useState<string | null>(null);
  const [reason, setReason] = useState('');
  const save = useWrite<Schemas['ChangeParticipant'], Round>({
    write: (body, headers) =>
      ok<Round>(
        api.POST('/api/cooperatives/{cooperativeId}/rounds/{roundId}/participants', {
          params: { path: { cooperativeId, roundId: round.id } },
          body,
          headers,
        }),
      ),
    topics: ['rounds', 'buying', 'share-outs'],
    onSuccess: (_, { householdId: changed }) => {
      const name = households.find(({ id }) => id === changed)?.name ?? '';
      say(t('round.participantChanged', { household: name }));
      onDone();
    },
  });
  // One change a day for each household, since each holds from its date on.
  const isTaken = isProblem(save.error, 'conflict');
  const weightFor: Record<Change, string | null> = { joins: null, leaves: '0', own: weight };
  return (
    <Form
      label={t('round.joinLeave')}
      onSubmit={() => save.mutate({ householdId, fromDate, weight: weightFor[change], reason })}
      error={isTaken ? null : save.error}
      acts={<SubmitOrCancel submit={t('common.save')} isPending={save.isPending} onCancel={onDone} />}
    >
      <p className="soft measure">{t('round.joinLeaveWords')}</p>
      <Select
        name="householdId"
        label={t('round.household')}
        required
        value={householdId}
        onChange={setHousehold}
        options={[
          { value: '', label: t('round.choose') },
          ...households.map(({ id, name }) => ({ value: id, label: name })),
        ]}
      />
      <Choices
        name="change"
        label={t('round.whatChanges')}
        value={change}
        onChange={(value) => setChange(value as Change)}
        options={(['joins', 'leaves', 'own'] as const).map((value) => ({ value, label: t(`round.change.${value}`) }))}
      />
      <Fields two>
        <DateField
          name="fromDate"
          label={t('round.fromDate')}
          required
          value={fromDate}
          onChange={(date) => {
            save.reset();
            setFromDate(date);
          }}
          error={isTaken ? t('round.fromDateTaken') : undefined}
        />
        {change === 'own' && (
          <DecimalField
            name="weight"
            label={t('round.headcountHead')}
            decimals={2}
            required
            value={weight}
            onChange={setWeight}
          />
        )}
      </Fields>
      <TextField name="reason" label={t('round.reason')} required maxLength={200} value={reason} onChange={setReason} />
    </Form>
  );
}
