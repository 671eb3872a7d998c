import { useFormats, type Formats } from '../lib/formats.ts';
import { useLocale, type Translate } from '../lib/locale.tsx';
import { dayOf, isUntil, stripStage, type Round, type RoundStage } from '../lib/round-stage.ts';
import { useSession } from '../lib/session.tsx';
import { ROUND_STAGES, StageStrip } from './stage-strip.tsx';

function when(round: Round, stage: RoundStage, t: Translate, formats: Formats): string {
  const date = formats.day(dayOf(round, stage));
  return isUntil(stage) ? t('round.until', { date }) : t('round.onDay', { date });
}

/** The stage strip of a round, filled from it. For every page of a round; its words are those of the area "round". */
export function RoundStrip({ round }: { round: Round }) {
  const { t } = useLocale();
  const formats = useFormats();
  const { cooperative } = useSession();
  const here = stripStage(round, cooperative.today);
  const position = ROUND_STAGES.indexOf(here);
  const following = ROUND_STAGES[position + 1];
  const notes = Object.fromEntries(
    ROUND_STAGES.map((stage, index) => {
      const dated = when(round, stage, t, formats);
      if (index === position && round.stage !== 'settled') return [stage, t('round.now', { when: dated })];
      return [stage, dated];
    }),
  );
  return (
    <StageStrip
      roundId={round.id}
      here={here}
      notes={notes}
      until={formats.day(dayOf(round, here))}
      next={
        following &&
        t('round.nextStage', { stage: t(`round.stage.${following}`), when: when(round, following, t, formats) })
      }
    />
  );
}
