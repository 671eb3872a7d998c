import type { CoolingResult } from '@frostmoot/calc';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Problem, ProblemBox } from '../../ui/problem-box.tsx';
import { useDegrees } from './cooling-card.tsx';
import { ClaimedAlready } from './early-claims.tsx';
import { useEnter } from './yield-card.tsx';
import type { Batch } from './yield-draft.ts';

/** A batch that was too warm for too long: one act is left. */
export function TooWarm({ batch, judged }: { batch: Batch; judged: CoolingResult }) {
  const t = useT();
  const formats = useFormats();
  const degrees = useDegrees();
  const { cooperative, can } = useSession();
  const enter = useEnter(batch, () => undefined);
  const failed = judged.stages.find(({ verdict }) => verdict === 'failed');
  if (!failed) return null;
  const words = t('kitchen.log.notReached', { limit: degrees(failed.limitCelsius), time: formats.time(failed.by) });
  return (
    <ProblemBox
      title={t('kitchen.log.verdict.failed')}
      appeared
      action={
        can('coordinator', 'buyer', 'adult') && (
          <Button
            tall
            isPending={enter.isPending}
            onPress={() => enter.mutate({ frozenOn: cooperative.today, containers: [], note: words })}
          >
            {t('kitchen.throwAwayDo')}
          </Button>
        )
      }
    >
      <p>{words}</p>
      <p>{t('kitchen.log.failedWords')}</p>
      <ClaimedAlready claims={batch.earlyClaims} isEnd />
      <Problem error={enter.error} />
    </ProblemBox>
  );
}
