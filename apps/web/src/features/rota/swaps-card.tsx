import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { Button } from '../../ui/button.tsx';
import { Card } from '../../ui/card.tsx';
import { List, ListRow } from '../../ui/list.tsx';
import { Row } from '../../ui/page.tsx';
import { Problem } from '../../ui/problem-box.tsx';
import { StateMark } from '../../ui/state-mark.tsx';
import type { TurnSwap, TurnSwaps } from './rota-queries.ts';
import { useAnswerSwap } from './use-answer-swap.ts';

/** Swaps of turns that wait: for our answer, or for another household's. */
export function WaitingSwaps({ swaps }: { swaps: TurnSwaps }) {
  return (
    <>
      {swaps.waitingForMe.map((swap, index) => (
        <ToAnswer key={swap.id} swap={swap} first={index === 0} />
      ))}
      {swaps.waitingForOthers.map((swap) => (
        <Waiting key={swap.id} swap={swap} />
      ))}
    </>
  );
}

function ToAnswer({ swap, first }: { swap: TurnSwap; first: boolean }) {
  const t = useT();
  const formats = useFormats();
  const answer = useAnswerSwap(swap);
  return (
    <Card title={t('rota.swapAsk', { household: swap.from.name })} framed={first} id={swap.id}>
      <p>{t('rota.youTake', { date: formats.day(swap.gives.weekOf, 'short') })}</p>
      <p>{t('rota.theyTake', { household: swap.from.name, date: formats.day(swap.gets.weekOf, 'short') })}</p>
      {swap.words !== '' && <p>“{swap.words}”</p>}
      <p className="soft">{t('rota.until', { time: formats.dayTime(swap.openUntil) })}</p>
      <Refusal answer={answer} />
      <Row>
        <Button kind={first ? 'main' : 'normal'} onPress={() => answer.mutate('accept')} isPending={answer.isPending}>
          {t('rota.accept')}
        </Button>
        <Button onPress={() => answer.mutate('decline')} isPending={answer.isPending}>
          {t('rota.decline')}
        </Button>
      </Row>
    </Card>
  );
}

function Waiting({ swap }: { swap: TurnSwap }) {
  const t = useT();
  const formats = useFormats();
  const answer = useAnswerSwap(swap);
  return (
    <Card title={t('rota.swapAsked', { household: swap.to.name })} id={swap.id}>
      <p>
        {t('rota.swapLine', {
          gives: formats.day(swap.gives.weekOf, 'short'),
          gets: formats.day(swap.gets.weekOf, 'short'),
        })}
      </p>
      <p>
        <StateMark state="waiting">{t('rota.until', { time: formats.dayTime(swap.openUntil) })}</StateMark>
      </p>
      <Refusal answer={answer} />
      <Row>
        <Button onPress={() => answer.mutate('withdraw')} isPending={answer.isPending}>
          {t('rota.takeBack')}
        </Button>
      </Row>
    </Card>
  );
}

function Refusal({ answer }: { answer: ReturnType<typeof useAnswerSwap> }) {
  return (
    <>
      <Problem error={answer.error} />
      {answer.broken.map((sentence) => (
        <p key={sentence}>{sentence}</p>
      ))}
    </>
  );
}

/** Swaps that were answered, taken back or ran out. */
export function EndedSwaps({ swaps }: { swaps: readonly TurnSwap[] }) {
  const t = useT();
  const formats = useFormats();
  if (swaps.length === 0) return null;
  return (
    <Card title={t('rota.ended')}>
      <List small>
        {swaps.map((swap) => (
          <ListRow
            key={swap.id}
            title={t('rota.between', { from: swap.from.name, to: swap.to.name })}
            detail={t('rota.swapLine', {
              gives: formats.day(swap.gives.weekOf, 'short'),
              gets: formats.day(swap.gets.weekOf, 'short'),
            })}
          >
            <span className="small">
              {swap.state === 'done' ? (
                <StateMark state="done">{t('rota.swapState.done')}</StateMark>
              ) : (
                t(`rota.swapState.${swap.state}`)
              )}
            </span>
          </ListRow>
        ))}
      </List>
    </Card>
  );
}
