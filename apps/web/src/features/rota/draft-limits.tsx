import { useLimitWords } from '../../lib/limit-words.ts';
import { useT } from '../../lib/locale.tsx';
import { Button } from '../../ui/button.tsx';
import { Problem, ProblemBox } from '../../ui/problem-box.tsx';
import type { Draft } from './rota-queries.ts';
import { useDraft } from './use-draft.ts';

type Limits = Draft['broken'];
const keyOf = (limit: Limits[number]): string => JSON.stringify(limit);
const areSame = (a: Limits, b: Limits): boolean =>
  a.length === b.length && a.every((x) => b.some((y) => keyOf(x) === keyOf(y)));

/** What collides and the cheapest way out, or what turns set by hand do not keep; accepting it makes way for publishing. */
export function DraftLimits({ draft }: { draft: Draft }) {
  const t = useT();
  const change = useDraft(draft);
  const { broken, conflict, repair, brokenAccepted } = draft;
  if (broken.length === 0) return null;
  const isRepair = areSame(broken, repair);
  if (brokenAccepted) {
    return (
      <div className="rota-accepted">
        <p>{t('rota.accepted')}</p>
        <Sentences limits={broken} />
      </div>
    );
  }
  return (
    <ProblemBox
      title={t(isRepair ? 'rota.conflict' : 'rota.broken')}
      action={
        <Button onPress={() => change.mutate({ act: 'limits' })} isPending={change.isPending}>
          {t(isRepair ? 'rota.takeRepair' : 'rota.acceptBroken')}
        </Button>
      }
    >
      {isRepair && conflict.length > 0 && (
        <>
          <p>{t('rota.conflictWords')}</p>
          <Sentences limits={conflict} conflict />
          <p>
            <strong>{t('rota.repairWords', { n: repair.length })}</strong>
          </p>
        </>
      )}
      <Sentences limits={broken} />
      <p className="soft">{t(isRepair ? 'rota.orByHand' : 'rota.orAgain')}</p>
      <Problem error={change.error} />
    </ProblemBox>
  );
}

/** `conflict`: what was asked for and cannot be had together; otherwise what is not kept. */
function Sentences({ limits, conflict }: { limits: Limits; conflict?: boolean }) {
  const words = useLimitWords();
  return (
    <ul>
      {limits.map((limit) => (
        <li key={keyOf(limit)}>{conflict ? words.asAsked(limit) : words.ofLimit(limit)}</li>
      ))}
    </ul>
  );
}
