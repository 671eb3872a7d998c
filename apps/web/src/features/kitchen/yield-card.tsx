import { useState } from 'react';
import { api, ifMatch, ok } from '../../lib/api/client.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useFormats } from '../../lib/formats.ts';
import { useKeptState } from '../../lib/kept-state.ts';
import { useT } from '../../lib/locale.tsx';
import type { Round } from '../../lib/round-stage.ts';
import { useSession } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Card, Note } from '../../ui/card.tsx';
import { ContainerBox } from '../../ui/container-box.tsx';
import { DateField, TextArea, TextField } from '../../ui/fields.tsx';
import { Form } from '../../ui/form.tsx';
import { Row } from '../../ui/page.tsx';
import { ProblemBox } from '../../ui/problem-box.tsx';
import { StateMark } from '../../ui/state-mark.tsx';
import { BatchStepper } from '../../ui/stepper.tsx';
import { say } from '../../ui/toast.tsx';
import { ClaimedAlready, ClaimsLost, type Claimed } from './early-claims.tsx';
import { AddSize } from './add-size.tsx';
import {
  againstPlan,
  containersOf,
  portionsOf,
  rowsOf,
  sentContainers,
  type Batch,
  type YieldRow,
} from './yield-draft.ts';

type Sent = Schemas['EnterYield'];

interface YieldDraft {
  rows: YieldRow[];
  frozenOn: string;
  note: string;
}

/** Entering what came out of a batch, or that nothing did; `forget` drops the draft once it is kept. */
export function useEnter(batch: Batch, forget: () => void, onLost: (lost: Claimed) => void = () => {}) {
  const t = useT();
  const { cooperativeId } = useSession();
  return useWrite<Sent, Schemas['YieldEntered']>({
    write: (body, headers) =>
      ok<Schemas['YieldEntered']>(
        api.PUT('/api/cooperatives/{cooperativeId}/batches/{batchId}/yield', {
          params: { path: { cooperativeId, batchId: batch.id } },
          body,
          headers: { ...headers, ...ifMatch(batch.version) },
        }),
      ),
    topics: ['kitchen', 'rounds', 'share-outs', 'stock'],
    onSuccess: (saved) => {
      forget();
      onLost(saved.claimsLost);
      const values = { lotCode: saved.lotCode, n: saved.actualPortions ?? 0 };
      say(
        saved.state === 'thrown-away'
          ? t('kitchen.saidThrownAway', { lotCode: saved.lotCode })
          : t('kitchen.yieldKept', values),
      );
    },
  });
}

/** What really came out, counted in sealed containers; or nothing, with the reason. */
export function YieldCard({ round, batch }: { round: Round; batch: Batch }) {
  const t = useT();
  const { can } = useSession();
  const [lost, setLost] = useState<Claimed>([]);
  if (round.stage !== 'cooking' && round.stage !== 'sharing') {
    return (
      <Card title={t('kitchen.whatCameOut')}>
        <p>{t(round.stage === 'settled' ? 'kitchen.yieldTooLate' : 'kitchen.yieldTooEarly')}</p>
      </Card>
    );
  }
  if (!can('coordinator', 'buyer', 'adult')) {
    return (
      <Card title={t('kitchen.whatCameOut')}>
        <p>{t('kitchen.yieldReader')}</p>
      </Card>
    );
  }
  return (
    <>
      <ClaimsLost lost={lost} />
      <YieldForm key={batch.version} batch={batch} onLost={setLost} />
    </>
  );
}

function YieldForm({ batch, onLost }: { batch: Batch; onLost: (lost: Claimed) => void }) {
  const t = useT();
  const formats = useFormats();
  const { cooperative } = useSession();
  const [isThrowing, setThrowing] = useState(false);
  const begin = (): YieldDraft => ({
    rows: rowsOf(batch),
    frozenOn: batch.frozenOn ?? cooperative.today,
    note: batch.note,
  });
  const [draft, setDraft, forget] = useKeptState<YieldDraft>(`yield.${batch.id}`, begin, String(batch.version));
  const set = (change: Partial<YieldDraft>) => setDraft((old) => ({ ...old, ...change }));
  const enter = useEnter(batch, forget, onLost);
  const portions = portionsOf(draft.rows);
  const standing = againstPlan(portions, batch.plannedPortions);
  const words = t(`kitchen.counted.${standing.kind}`, {
    portions: t('common.portions', { n: portions }),
    containers: t('common.containers', { n: containersOf(draft.rows) }),
    by: standing.by,
  });
  // Containers of this batch that were opened or lost already belong to what came out.
  const isEndedMissing = enter.problem?.errors.some(({ pointer }) => pointer === '/containers') ?? false;
  if (isThrowing) {
    return <ThrowAway batch={batch} frozenOn={draft.frozenOn} enter={enter} onKeep={() => setThrowing(false)} />;
  }
  return (
    <Card title={t('kitchen.whatCameOut')} aside={t('kitchen.plannedWas', { n: batch.plannedPortions })} framed>
      <Form
        onSubmit={() =>
          enter.mutate({ frozenOn: draft.frozenOn, containers: sentContainers(draft.rows), note: draft.note })
        }
        error={isEndedMissing ? null : enter.error}
        acts={
          <Button type="submit" kind="main" tall isDisabled={portions === 0} isPending={enter.isPending}>
            {t('kitchen.keepYield', { n: portions })}
          </Button>
        }
      >
        <Rows rows={draft.rows} onChange={(rows) => set({ rows })} />
        <p role="status">
          {standing.kind === 'even' ? (
            <StateMark state="done">{words}</StateMark>
          ) : (
            <StateMark state="problem">{words}</StateMark>
          )}
        </p>
        <ClaimedAlready claims={batch.earlyClaims} />
        {isEndedMissing && (
          <p role="alert">
            <StateMark state="problem">{t('kitchen.endedMissing')}</StateMark>
          </p>
        )}
        <DateField
          name="frozenOn"
          label={t('kitchen.frozenOn')}
          hint={t('kitchen.frozenHint', { n: batch.months })}
          tall
          required
          max={cooperative.today}
          value={draft.frozenOn}
          onChange={(frozenOn) => set({ frozenOn })}
        />
        {batch.bestBefore !== null && (
          <p className="soft">{t('kitchen.bestBefore', { date: formats.day(batch.bestBefore, 'dated') })}</p>
        )}
        <TextArea
          name="note"
          label={t('kitchen.note')}
          hint={t('kitchen.noteHint')}
          rows={2}
          maxLength={500}
          value={draft.note}
          onChange={(note) => set({ note })}
        />
      </Form>
      <Row>
        <Button tall kind="plain" onPress={() => setThrowing(true)}>
          {t('kitchen.throwAway')}
        </Button>
      </Row>
      <Note>
        <p>{t('kitchen.yieldNote')}</p>
      </Note>
    </Card>
  );
}

function Rows({ rows, onChange }: { rows: readonly YieldRow[]; onChange: (rows: YieldRow[]) => void }) {
  const t = useT();
  return (
    <div role="group" aria-label={t('kitchen.containersBySize')}>
      <ul className="list" role="list">
        {rows.map((row, index) => (
          <li className="list-row list-row-led kitchen-yield" key={row.portions}>
            <ContainerBox portions={row.portions} />
            <span>{t('kitchen.ofPortions', { n: row.portions })}</span>
            <BatchStepper
              label={t('kitchen.containersOfSize', { n: row.portions })}
              value={row.count}
              max={500}
              onChange={(count) => onChange(rows.map((old, each) => (each === index ? { ...old, count } : old)))}
            />
          </li>
        ))}
      </ul>
      <AddSize
        taken={rows.map(({ portions }) => portions)}
        onAdd={(portions) => onChange([...rows, { portions, count: 1, millilitres: null }])}
      />
    </div>
  );
}

interface ThrowAwayProps {
  batch: Batch;
  frozenOn: string;
  enter: ReturnType<typeof useEnter>;
  onKeep: () => void;
}

/** Nothing of the batch is kept: the reason is asked for, and what it means is said first. */
function ThrowAway({ batch, frozenOn, enter, onKeep }: ThrowAwayProps) {
  const t = useT();
  const [reason, setReason] = useState('');
  return (
    <ProblemBox title={t('kitchen.throwAwayAsk', { dish: batch.name })} appeared>
      <p>{t('kitchen.throwAwayMeans', { n: batch.plannedPortions })}</p>
      <ClaimedAlready claims={batch.earlyClaims} isEnd />
      <Form
        label={t('kitchen.throwAway')}
        onSubmit={() => enter.mutate({ frozenOn, containers: [], note: reason })}
        error={enter.error}
        acts={
          <>
            <Button type="submit" tall isPending={enter.isPending}>
              {t('kitchen.throwAwayDo')}
            </Button>
            <Button tall kind="plain" onPress={onKeep}>
              {t('kitchen.keepIt')}
            </Button>
          </>
        }
      >
        <TextField
          name="note"
          label={t('kitchen.why')}
          tall
          required
          maxLength={500}
          value={reason}
          onChange={setReason}
        />
      </Form>
    </ProblemBox>
  );
}
