import { useQuery } from '@tanstack/react-query';
import { getRouteApi } from '@tanstack/react-router';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import type { Round } from '../../lib/round-stage.ts';
import { useCooperativeId, useSession } from '../../lib/session.tsx';
import { useWaiting } from '../../lib/waiting.ts';
import { QueryView } from '../../ui/query-view.tsx';
import { RoundPage } from '../../ui/round-page.tsx';
import { TopLine } from '../../ui/top-line.tsx';
import { WaitingLine } from '../../ui/waiting-line.tsx';
import { BatchView } from './batch-view.tsx';
import { DayView } from './day-view.tsx';
import './kitchen.css';
import { kitchenQuery } from './kitchen-query.ts';
import { cookDayOf, useRunSheet, withWaitingReadings } from './run-sheet-query.ts';
import { useNow } from './use-now.ts';
import { useScreenOn } from './use-screen-on.ts';
import type { Kitchen } from './yield-draft.ts';

const route = getRouteApi('/member/rounds/$roundId/cook');

/** The cook day, for hands that are busy: the day with its batches, or one batch with its amounts, steps and what came out. */
export function KitchenPage() {
  const { roundId } = route.useParams();
  const { batch } = route.useSearch();
  const cooperativeId = useCooperativeId();
  const kitchen = useQuery(kitchenQuery(cooperativeId, roundId));
  const open = kitchen.data?.batches.find(({ id }) => id === batch);
  return (
    <>
      <TopLine>
        <Clock />
      </TopLine>
      <RoundPage
        key={open?.id ?? 'day'}
        roundId={roundId}
        stage="cook"
        title={open?.name}
        withoutStrip
        aside={() => open?.lotCode}
      >
        {(round) => (
          <QueryView query={kitchen}>{(data) => <Kitchen round={round} kitchen={data} batchId={batch} />}</QueryView>
        )}
      </RoundPage>
    </>
  );
}

function Kitchen(props: { round: Round; kitchen: Kitchen; batchId: string | undefined }) {
  const { round, batchId } = props;
  const { cooperative, me, householdId, householdName } = useSession();
  const waiting = useWaiting(me.personId);
  const kitchen = withWaitingReadings(props.kitchen, waiting, { id: householdId, name: householdName });
  const run = useRunSheet(cookDayOf(kitchen, cooperative.today)?.id);
  const batch = kitchen.batches.find(({ id }) => id === batchId);
  return (
    <>
      <WaitingLine waiting={waiting} />
      {batch ? (
        <BatchView round={round} kitchen={kitchen} batch={batch} run={run} />
      ) : (
        <DayView round={round} kitchen={kitchen} run={run} />
      )}
    </>
  );
}

/** The time in the cooperative's zone, always in sight. */
function Clock() {
  const t = useT();
  const formats = useFormats();
  const isOn = useScreenOn();
  const now = useNow();
  return (
    <span className="row">
      {isOn && <span className="small">{t('kitchen.screenOn')}</span>}
      <time className="kitchen-clock" dateTime={now}>
        {formats.time(now)}
      </time>
    </span>
  );
}
