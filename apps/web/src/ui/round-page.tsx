import type { ReactNode } from 'react';
import { useT } from '../lib/locale.tsx';
import type { Round, RoundStage } from '../lib/round-stage.ts';
import { useRound } from '../lib/rounds.ts';
import { Page } from './page.tsx';
import { QueryView } from './query-view.tsx';
import { RoundStrip } from './round-strip.tsx';

export interface RoundPageProps {
  roundId: string;
  stage: RoundStage;
  /** Opposite the heading, once the round is there. */
  aside?: (round: Round) => ReactNode;
  /** Another heading than "Round 14: plan". */
  title?: string;
  /** Hands-busy pages have no stage strip. */
  withoutStrip?: boolean;
  children: (round: Round) => ReactNode;
}

/** A page of one round: its heading, the stage strip, and what the stage needs. */
export function RoundPage({ roundId, stage, aside, title, withoutStrip, children }: RoundPageProps) {
  const t = useT();
  const query = useRound(roundId);
  const round = query.data;
  const stageTitle = round ? t(`round.title.${stage}`, { number: round.number }) : t(`round.stage.${stage}`);
  return (
    <Page
      title={title ?? stageTitle}
      documentTitle={title && round ? `${title} · ${stageTitle}` : undefined}
      aside={round && aside?.(round)}
    >
      <QueryView query={query} lines={8}>
        {(loaded) => (
          <>
            {!withoutStrip && <RoundStrip round={loaded} />}
            {children(loaded)}
          </>
        )}
      </QueryView>
    </Page>
  );
}
