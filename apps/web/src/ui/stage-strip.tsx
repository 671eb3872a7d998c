import { Link } from '@tanstack/react-router';
import type { ReactNode } from 'react';
import { useT } from '../lib/locale.tsx';
import { CheckIcon } from './icons.tsx';

export const ROUND_STAGES = ['plan', 'buy', 'cook', 'share-out', 'swap', 'account'] as const;
export type RoundStage = (typeof ROUND_STAGES)[number];

export interface StageStripProps {
  roundId: string;
  /** Where the round is. */
  here: RoundStage;
  /** Dates or results under each word (laptop). */
  notes: Partial<Record<RoundStage, ReactNode>>;
  /** On a phone: "until Sun 22 Nov", and "buy, Thu 26 to Fri 27 Nov". */
  until?: string;
  next?: string;
}

/** Where the round is: done is a thick line with a tick, here a thicker accent line, to come a thin one. On every page of a round. */
export function StageStrip({ roundId, here, notes, until, next }: StageStripProps) {
  const t = useT();
  const position = ROUND_STAGES.indexOf(here);
  return (
    <div className="stage-line">
      <p className="phone-only soft">
        {until
          ? t('round.stageOfUntil', { number: position + 1, count: ROUND_STAGES.length, until })
          : t('round.stageOf', { number: position + 1, count: ROUND_STAGES.length })}
      </p>
      <ol className="stages" role="list" aria-label={t('round.stages')}>
        {ROUND_STAGES.map((stage, index) => {
          const state = index < position ? 'done' : index === position ? 'here' : 'toCome';
          return (
            <li key={stage} className="stage" data-state={state} aria-current={state === 'here' ? 'step' : undefined}>
              <Link className="stage-words" to={`/rounds/$roundId/${stage}`} params={{ roundId }}>
                <span className="stage-name">
                  {state === 'done' && <CheckIcon size={15} />}
                  {t(`round.stage.${stage}`)}
                  {state === 'done' && <span className="hidden"> ({t('common.state.done')})</span>}
                </span>
                {notes[stage] != null && <span className="soft">{notes[stage]}</span>}
              </Link>
            </li>
          );
        })}
      </ol>
      {next && <p className="phone-only soft">{t('round.next', { next })}</p>}
    </div>
  );
}
