import { useQuery, useQueryClient } from '@tanstack/react-query';
import { useNavigate } from '@tanstack/react-router';
import { api, isProblem, ok } from '../../lib/api/client.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { householdsQuery, type Household } from '../../lib/household-queries.ts';
import { useKeptState } from '../../lib/kept-state.ts';
import { useT } from '../../lib/locale.tsx';
import type { Round, RoundSummary } from '../../lib/round-stage.ts';
import { roundQuery, useRounds } from '../../lib/rounds.ts';
import { useSession } from '../../lib/session.tsx';
import { Button, LinkButton } from '../../ui/button.tsx';
import { Card, Note } from '../../ui/card.tsx';
import { DateField, Select, TextField, Tick } from '../../ui/fields.tsx';
import { Fields, Form } from '../../ui/form.tsx';
import { DecimalField } from '../../ui/number-fields.tsx';
import { Page } from '../../ui/page.tsx';
import { ProblemBox } from '../../ui/problem-box.tsx';
import { QueryView } from '../../ui/query-view.tsx';
import { say } from '../../ui/toast.tsx';
import { ROUND_DATES, datesAround, outOfOrder, proposedDates, type RoundDates } from './round-dates.ts';

type CreateRound = Schemas['CreateRound'];
const USUAL_DINNERS = '4';

/** Starts a round: dates around a cook day, how many dinners, where and by whom it is cooked. */
export function StartRoundPage() {
  const t = useT();
  const { can, cooperativeId } = useSession();
  const rounds = useRounds();
  const households = useQuery(householdsQuery(cooperativeId));
  return (
    <Page title={t('round.start')}>
      {can('coordinator') ? (
        <QueryView query={rounds} lines={8}>
          {({ items }) => (
            <QueryView query={households} lines={8}>
              {(all) => <StartForm rounds={items} households={all.filter(({ leftOn }) => leftOn === null)} />}
            </QueryView>
          )}
        </QueryView>
      ) : (
        <Card>
          <p>{t('round.startCoordinator')}</p>
        </Card>
      )}
    </Page>
  );
}

function useStart(forget: () => void) {
  const t = useT();
  const { cooperativeId } = useSession();
  const navigate = useNavigate();
  const queryClient = useQueryClient();
  return useWrite<CreateRound, Round>({
    write: (body, headers) =>
      ok<Round>(
        api.POST('/api/cooperatives/{cooperativeId}/rounds', { params: { path: { cooperativeId } }, body, headers }),
      ),
    topics: ['rounds', 'cooperative'],
    onSuccess: async (round) => {
      forget();
      queryClient.setQueryData(roundQuery(cooperativeId, round.id).queryKey, round);
      say(t('round.started', { number: round.number }));
      await navigate({ to: '/rounds/$roundId/plan', params: { roundId: round.id } });
    },
  });
}

interface Draft {
  dates: RoundDates;
  /** Dates that somebody typed; the others follow the cook day. */
  typed: (keyof RoundDates)[];
  dinners: string | null;
  startsAt: string;
  kitchen: string;
  cooks: string[];
}

/** Dates after one was typed: those that nobody has typed follow the cook day. */
function withDate({ dates, typed }: Draft, name: keyof RoundDates, value: string): Pick<Draft, 'dates' | 'typed'> {
  const kept = typed.includes(name) ? typed : [...typed, name];
  const around = name === 'cookOn' && value !== '' ? datesAround(value) : dates;
  const following = ROUND_DATES.filter((each) => !kept.includes(each)).map((each) => [each, around[each]]);
  return { dates: { ...dates, ...(Object.fromEntries(following) as Partial<RoundDates>), [name]: value }, typed: kept };
}

function StartForm({ rounds, households }: { rounds: readonly RoundSummary[]; households: readonly Household[] }) {
  const t = useT();
  const { cooperative } = useSession();
  const last = [...rounds].sort((a, b) => a.number - b.number).at(-1);
  const begin = (): Draft => ({
    dates: proposedDates(cooperative.today, last?.cookOn),
    typed: [],
    dinners: last ? String(last.dinners) : USUAL_DINNERS,
    startsAt: '09:00',
    kitchen: '',
    cooks: [],
  });
  const [draft, setDraft, forget] = useKeptState('round.new', begin, `${cooperative.today} ${last?.number ?? 0}`);
  const set = (change: Partial<Draft>) => setDraft((old) => ({ ...old, ...change }));
  const { dates, dinners, startsAt, kitchen, cooks } = draft;
  const start = useStart(forget);
  const wrong = outOfOrder(dates);
  const kitchenMissing = kitchen === '' && cooks.length > 0;
  const nobodyEats = isProblem(start.error, 'participant-missing');

  const submit = () => {
    if (dinners === null) return;
    start.mutate({
      ...dates,
      dinners: Number(dinners),
      startsAt,
      kitchenHouseholdId: kitchen === '' ? null : kitchen,
      cookHouseholdIds: cooks,
    });
  };
  return (
    <Form
      onSubmit={submit}
      isReady={() => wrong.length === 0 && !kitchenMissing}
      error={nobodyEats ? null : start.error}
      acts={
        <>
          <Button type="submit" kind="main" isPending={start.isPending}>
            {t('round.start')}
          </Button>
          <LinkButton to="/round" search={{ all: true }} kind="plain">
            {t('common.cancel')}
          </LinkButton>
        </>
      }
    >
      <Card title={t('round.datesTitle')}>
        <p className="soft measure">{t('round.datesWords')}</p>
        <Fields two>
          {ROUND_DATES.map((name) => (
            <DateField
              key={name}
              name={name}
              label={t(`round.field.${name}`)}
              required
              value={dates[name]}
              onChange={(value) => setDraft((old) => ({ ...old, ...withDate(old, name, value) }))}
              error={wrong.includes(name) ? t('round.field.outOfOrder') : undefined}
            />
          ))}
        </Fields>
      </Card>
      <Card title={t('round.cookingTitle')}>
        <Fields two>
          <DecimalField
            name="dinners"
            label={t('round.field.dinners')}
            hint={t('round.field.dinnersHint')}
            decimals={0}
            required
            value={dinners}
            onChange={(next) => set({ dinners: next })}
          />
          <TextField
            name="startsAt"
            type="time"
            label={t('round.field.startsAt')}
            required
            value={startsAt}
            onChange={(next) => set({ startsAt: next })}
          />
          <Select
            name="kitchenHouseholdId"
            label={t('round.field.kitchen')}
            value={kitchen}
            onChange={(next) => set({ kitchen: next })}
            error={kitchenMissing ? t('round.field.kitchenMissing') : undefined}
            options={[
              { value: '', label: t('round.field.kitchenLater') },
              ...households.map(({ id, name }) => ({ value: id, label: t('round.kitchenOf', { household: name }) })),
            ]}
          />
        </Fields>
        <fieldset className="choices">
          <legend>{t('round.field.cooks')}</legend>
          <Fields two>
            {households.map(({ id, name }) => (
              <Tick
                key={id}
                isSelected={cooks.includes(id)}
                onChange={(chosen) => set({ cooks: chosen ? [...cooks, id] : cooks.filter((each) => each !== id) })}
              >
                {name}
              </Tick>
            ))}
          </Fields>
        </fieldset>
        <Note>
          <p>{t('round.weightsNote')}</p>
        </Note>
      </Card>
      {nobodyEats && (
        <ProblemBox
          appeared
          title={t('round.nobodyEats')}
          action={<LinkButton to="/household">{t('round.addWhoEats')}</LinkButton>}
        >
          <p>{t('round.nobodyEatsWords')}</p>
        </ProblemBox>
      )}
    </Form>
  );
}
