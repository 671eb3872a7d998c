import { isProblem } from '../../lib/api/client.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Button, LinkButton } from '../../ui/button.tsx';
import { Card } from '../../ui/card.tsx';
import { Row } from '../../ui/page.tsx';
import { Problem } from '../../ui/problem-box.tsx';
import { StateMark } from '../../ui/state-mark.tsx';
import { alike, before, mySide } from './my-side.ts';
import { KeepsWords, PartBox, PortionsWords } from './part-box.tsx';
import type { Container, Swap, SwapBoard } from './swap-query.ts';
import type { Answers } from './use-answer.ts';

interface SwapCardProps {
  swap: Swap;
  board: SwapBoard;
  answers: Answers;
  /** The soonest answer carries the page's main act. */
  soonest?: boolean;
}

/** A proposal that waits for my household's answer: its part first, then what it means, then the answers. */
export function AskedCard({ swap, board, answers, soonest }: SwapCardProps) {
  const t = useT();
  const formats = useFormats();
  const { householdId, can } = useSession();
  const side = mySide(swap, householdId);
  const pending = (answer: string) =>
    answers.write.isPending &&
    answers.write.variables?.swap.id === swap.id &&
    answers.write.variables.answer === answer;
  return (
    <Card
      id={`swap-${swap.id}`}
      framed={soonest}
      title={t('swaps.askYou', { other: side.other.name })}
      aside={<StateMark state="waiting">{t('swaps.answerBy', { at: formats.dayTime(swap.openUntil) })}</StateMark>}
    >
      <h3>{t('swaps.yourPart')}</h3>
      <PartBox side={side} />
      <Words swap={swap} from={side.other.name} />
      <PortionsWords given={side.portionsGiven} got={side.portionsGot} />
      <KeepsWords side={side} />
      <Before swap={swap} board={board} />
      <p className="soft">{t('swaps.untilThen')}</p>
      <AnswerProblem swap={swap} answers={answers} />
      {can('coordinator', 'buyer', 'adult') && (
        <Row>
          <Button
            kind={soonest ? 'main' : 'normal'}
            isPending={pending('accept')}
            onPress={() => answers.answer({ swap, answer: 'accept', confirmWords: null })}
          >
            {t('swaps.accept')}
          </Button>
          <Button
            isPending={pending('decline')}
            onPress={() => answers.answer({ swap, answer: 'decline', confirmWords: null })}
          >
            {t('swaps.decline')}
          </Button>
          <LinkButton to="/swaps" search={{ counter: swap.id }}>
            {t('swaps.counter')}
          </LinkButton>
        </Row>
      )}
    </Card>
  );
}

/** A proposal of my household that waits for the other one. */
export function ProposedCard({ swap, board, answers }: SwapCardProps) {
  const t = useT();
  const formats = useFormats();
  const { householdId, can } = useSession();
  const side = mySide(swap, householdId);
  return (
    <Card
      id={`swap-${swap.id}`}
      title={t('swaps.youAsk', { other: side.other.name })}
      aside={<StateMark state="waiting">{t('swaps.openUntil', { at: formats.dayTime(swap.openUntil) })}</StateMark>}
    >
      <PartBox side={side} />
      <Words swap={swap} />
      <PortionsWords given={side.portionsGiven} got={side.portionsGot} />
      <Before swap={swap} board={board} />
      <AnswerProblem swap={swap} answers={answers} />
      {can('coordinator', 'buyer', 'adult') && (
        <Row>
          <Button
            isPending={answers.write.isPending && answers.write.variables?.swap.id === swap.id}
            onPress={() => answers.answer({ swap, answer: 'withdraw', confirmWords: null })}
          >
            {t('swaps.withdraw')}
          </Button>
        </Row>
      )}
    </Card>
  );
}

/** The proposals that this one answers, the latest first. */
function Before({ swap, board }: { swap: Swap; board: SwapBoard }) {
  const t = useT();
  const formats = useFormats();
  const { householdId } = useSession();
  const earlier = before(swap, board.ended);
  if (earlier.length === 0) return null;
  const words = (containers: readonly Container[]) =>
    formats.list(
      alike(containers).map(({ dish, portions, containers: same }) =>
        t('swaps.containerWords', { n: same.length, dish, portions }),
      ),
    );
  return (
    <>
      <h3>{t('swaps.before')}</h3>
      <ul className="soft">
        {earlier.map((one) => {
          const side = mySide(one, householdId);
          return (
            <li key={one.id}>
              {t('swaps.beforeLine', {
                who: one.from.id === householdId ? 'you' : 'other',
                other: one.from.name,
                at: formats.dayTime(one.createdAt),
                give: words(side.give),
                get: words(side.get),
              })}
            </li>
          );
        })}
      </ul>
    </>
  );
}

function Words({ swap, from }: { swap: Swap; from?: string }) {
  const t = useT();
  if (swap.words === '') return null;
  return (
    <p>
      {from ? t('swaps.theirWords', { other: from, words: swap.words }) : t('swaps.yourWords', { words: swap.words })}
    </p>
  );
}

/** Why an answer was refused; a refusal that has closed the swap is told by the page, since the card is gone with it. */
function AnswerProblem({ swap, answers: { write, warned, answer } }: { swap: Swap; answers: Answers }) {
  const request = write.variables;
  if (!write.error || request?.swap.id !== swap.id || warned) return null;
  return <Problem error={write.error} onRetry={() => answer(request)} />;
}

/** For a swap that could not be answered and is no longer in the list: what happened, and what can be done instead. */
export function ClosedSwapProblem({ answers, shown }: { answers: Answers; shown: readonly Swap[] }) {
  const t = useT();
  const { write } = answers;
  const request = write.variables;
  if (!write.error || !request || answers.warned || shown.some(({ id }) => id === request.swap.id)) return null;
  const another = (isProblem(write.error, 'not-swappable') || isProblem(write.error, 'swap-closed')) && (
    <LinkButton to="/swaps" search={{ offer: 'any' }}>
      {t('swaps.offerAnother')}
    </LinkButton>
  );
  return <Problem error={write.error} action={another} />;
}
