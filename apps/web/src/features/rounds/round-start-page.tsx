import { getRouteApi, Navigate } from '@tanstack/react-router';
import { PLACE_OF } from '../../lib/round-stage.ts';
import { useRound } from '../../lib/rounds.ts';
import { QueryView } from '../../ui/query-view.tsx';

const route = getRouteApi('/member/rounds/$roundId/');

/** A round's own address leads to where its present work is done. */
export function RoundStartPage() {
  const { roundId } = route.useParams();
  const query = useRound(roundId);
  return (
    <QueryView query={query}>
      {(round) => <Navigate replace to={`/rounds/$roundId/${PLACE_OF[round.stage]}`} params={{ roundId }} />}
    </QueryView>
  );
}
