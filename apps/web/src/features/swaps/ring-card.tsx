import { isProblem } from '../../lib/api/client.ts';
import { useFoodWords } from '../../lib/food-words.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Card } from '../../ui/card.tsx';
import { Row } from '../../ui/page.tsx';
import { Problem, ProblemBox } from '../../ui/problem-box.tsx';
import { StateMark } from '../../ui/state-mark.tsx';
import { KeepsWords, PartBox, PortionsWords } from './part-box.tsx';
import { RingPicture } from './ring-picture.tsx';
import { RingSteps } from './ring-steps.tsx';
import type { Ring } from './swap-query.ts';
import type { RingAnswers } from './use-ring-answer.ts';

interface RingCardProps {
  ring: Ring;
  answers: RingAnswers;
  /** The soonest answer carries the page's main act. */
  soonest: boolean;
}

/** A ring that waits: my household's part and its answers first, then the whole ring as a picture and in sentences. */
export function RingCard({ ring, answers, soonest }: RingCardProps) {
  const t = useT();
  const formats = useFormats();
  const [me] = ring.members;
  const isOpen = me?.answer === null;
  const side = { give: ring.steps[0]?.containers ?? [], get: ring.steps.at(-1)?.containers ?? [] };
  const at = formats.dayTime(ring.openUntil);
  return (
    <Card
      id={`ring-${ring.id}`}
      framed={soonest}
      title={t('swaps.ring.title', { n: ring.members.length })}
      aside={<StateMark state="waiting">{t(isOpen ? 'swaps.answerBy' : 'swaps.openUntil', { at })}</StateMark>}
    >
      <div className="ring">
        <div className="ring-part">
          <h3>{t('swaps.yourPart')}</h3>
          <PartBox side={side} />
          {me && <PortionsWords given={me.portionsGiven} got={me.portionsGot} />}
          <KeepsWords side={side} />
          <p>{t('swaps.ring.allOrNone', { n: ring.members.length })}</p>
          {!isOpen && <Said ring={ring} />}
          <Unfit ring={ring} />
          <AnswerProblem ring={ring} answers={answers} />
          <Acts ring={ring} answers={answers} soonest={soonest} />
        </div>
        <RingPicture ring={ring} />
      </div>
      <RingSteps ring={ring} />
    </Card>
  );
}

function Acts({ ring, answers, soonest }: RingCardProps) {
  const t = useT();
  const { can } = useSession();
  const pending = (answer: string) =>
    answers.write.isPending &&
    answers.write.variables?.ring.id === ring.id &&
    answers.write.variables.answer === answer;
  if (!can('coordinator', 'buyer', 'adult')) return null;
  const mayAccept = ring.members[0]?.answer === null && ring.unfit.length === 0;
  return (
    <Row>
      {mayAccept && (
        <Button
          kind={soonest ? 'main' : 'normal'}
          isPending={pending('accept')}
          onPress={() => answers.answer({ ring, answer: 'accept' })}
        >
          {t('swaps.accept')}
        </Button>
      )}
      <Button isPending={pending('decline')} onPress={() => answers.answer({ ring, answer: 'decline' })}>
        {t('swaps.decline')}
      </Button>
    </Row>
  );
}

/** After my household's yes: whose answers are missing. */
function Said({ ring }: { ring: Ring }) {
  const t = useT();
  const formats = useFormats();
  const missing = ring.members.filter(({ answer }) => answer === null).map(({ household }) => household.name);
  return (
    <p>
      <StateMark state="done">
        {t('swaps.ring.youSaidYes', { others: formats.list(missing), n: missing.length })}
      </StateMark>
    </p>
  );
}

/** What my household would get has come to be unfit for one of its diners: it is never to be accepted. */
function Unfit({ ring }: { ring: Ring }) {
  const t = useT();
  const food = useFoodWords();
  if (ring.unfit.length === 0) return null;
  return (
    <ProblemBox title={t('swaps.ring.unfit')}>
      <p>{food.allergens(ring.unfit)}</p>
    </ProblemBox>
  );
}

function AnswerProblem({ ring, answers: { write, answer } }: { ring: Ring; answers: RingAnswers }) {
  const request = write.variables;
  if (!write.error || request?.ring.id !== ring.id || isProblem(write.error, 'excluded-food')) return null;
  return <Problem error={write.error} onRetry={() => answer(request)} />;
}

/** For a ring that could not be answered and is no longer in the list: it says so, and the list below says why. */
export function ClosedRingProblem({ answers: { write }, shown }: { answers: RingAnswers; shown: readonly Ring[] }) {
  const request = write.variables;
  if (!write.error || !request || shown.some(({ id }) => id === request.ring.id)) return null;
  return <Problem error={write.error} />;
}
