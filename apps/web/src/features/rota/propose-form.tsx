import { useState } from 'react';
import { api, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import type { Job, useJob } from '../../lib/use-job.ts';
import { Button } from '../../ui/button.tsx';
import { Card } from '../../ui/card.tsx';
import { DateField, Select } from '../../ui/fields.tsx';
import { Fields, Form } from '../../ui/form.tsx';
import { DecimalField } from '../../ui/number-fields.tsx';
import type { Rota } from './rota-queries.ts';

const EVERY = ['1', '2', '3', '4'] as const;

/** Which weeks to fill and how many cook; turns of the draft that are to stay go with it. */
export function ProposeForm({ rota, work }: { rota: Rota; work: ReturnType<typeof useJob> }) {
  const t = useT();
  const { cooperativeId } = useSession();
  const { draft, today } = rota;
  const [from, setFrom] = useState(draft?.weeks[0]?.weekOf ?? today);
  const [weeks, setWeeks] = useState<string | null>(String(draft?.weeks.length ?? 8));
  const [team, setTeam] = useState<string | null>(
    String(Math.max(1, ...(draft?.weeks.map((week) => week.team) ?? [1]))),
  );
  const [every, setEvery] = useState('1');
  const kept = (draft?.weeks ?? []).flatMap(({ weekOf, turns }) =>
    turns.filter((turn) => turn.kept).map(({ household }) => ({ weekOf, householdId: household.id })),
  );
  const start = useWrite<Schemas['ProposeRota'], Job>({
    write: (body, headers) =>
      ok<Job>(
        api.POST('/api/cooperatives/{cooperativeId}/rota-proposals', {
          params: { path: { cooperativeId } },
          body,
          headers,
        }),
      ),
    topics: ['jobs'],
    onSuccess: (job) => void work.keep(job),
  });
  const submit = () => {
    if (weeks === null || team === null) return;
    start.mutate({ from, weeks: Number(weeks), team: Number(team), every: Number(every), plans: [], kept });
  };
  return (
    <Card title={t(draft ? 'rota.again' : 'rota.weeksToFill')}>
      <Form
        label={t('rota.weeksToFill')}
        onSubmit={submit}
        error={start.error}
        acts={
          <Button kind={draft ? 'normal' : 'main'} type="submit" isPending={start.isPending || work.open}>
            {t(draft ? 'rota.workOutAgain' : 'rota.workOut')}
          </Button>
        }
      >
        <DateField
          name="from"
          label={t('rota.from')}
          hint={t('rota.fromHint')}
          required
          value={from}
          onChange={setFrom}
        />
        <Fields two>
          <DecimalField name="weeks" label={t('rota.weeks')} decimals={0} required value={weeks} onChange={setWeeks} />
          <DecimalField name="team" label={t('rota.team')} decimals={0} required value={team} onChange={setTeam} />
        </Fields>
        <Select
          name="every"
          label={t('rota.every')}
          options={EVERY.map((value) => ({ value, label: t('rota.everyWeeks', { n: Number(value) }) }))}
          value={every}
          onChange={setEvery}
        />
        <p className="small soft">{t(kept.length > 0 ? 'rota.keptNote' : 'rota.formNote', { n: kept.length })}</p>
      </Form>
    </Card>
  );
}
