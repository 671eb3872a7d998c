import { useState } from 'react';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Card, Note } from '../../ui/card.tsx';
import { focusLater } from '../../ui/focus-later.ts';
import { List } from '../../ui/list.tsx';
import { ProblemBox } from '../../ui/problem-box.tsx';
import { ScanButton } from '../../ui/scan-button.tsx';
import { StateMark } from '../../ui/state-mark.tsx';
import { WaitingLine } from '../../ui/waiting-line.tsx';
import { ContainerAnswers } from './container-answers.tsx';
import type { Recall } from './recall-query.ts';
import { useMyAnswers } from './recall-answers.ts';

/** What my household must do: nothing of these may be eaten; one act for all of them, or an answer for each. */
export function MyPart({ recall }: { recall: Recall }) {
  const t = useT();
  const { can } = useSession();
  const { mine, waiting, answer } = useMyAnswers(recall);
  const isClosed = recall.closedAt !== null || !can('adult', 'buyer', 'coordinator');
  const open = isClosed ? [] : mine.filter(({ fate }) => fate === 'none');
  const allApart = () => {
    answer(open.map(({ id }) => ({ containerId: id, answer: 'set-apart', eatenOn: null })));
    focusLater('h1');
  };
  // Closing a recall makes nothing of it fit to eat.
  const unanswered = recall.closedAt === null || recall.drill ? 0 : mine.filter(({ fate }) => fate === 'none').length;
  if (mine.length === 0) {
    return (
      <>
        <WaitingLine waiting={waiting} />
        {!recall.report && <Card>{t('recalls.nothingHere')}</Card>}
      </>
    );
  }
  return (
    <>
      {open.length > 0 && (
        <ProblemBox
          title={t(recall.drill ? 'recalls.doNotEatDrill' : 'recalls.doNotEat', { n: open.length })}
          action={
            <Button kind="main" tall wide onPress={allApart}>
              {t('recalls.allApart', { n: open.length })}
            </Button>
          }
        >
          <Why recall={recall} n={open.length} />
        </ProblemBox>
      )}
      {unanswered > 0 && (
        <ProblemBox title={t('recalls.doNotEat', { n: unanswered })}>
          <p className="lead">
            {t('recalls.why', { what: recall.what, lot: recall.lotCode })} {recall.reason}
          </p>
          <p>{t('recalls.closedUnanswered', { n: unanswered })}</p>
        </ProblemBox>
      )}
      <WaitingLine waiting={waiting} />
      <Card
        title={t(open.length > 0 ? 'recalls.oneByOne' : 'recalls.answered')}
        aside={open.length > 0 ? t('recalls.toAnswer', { n: open.length }) : undefined}
      >
        {!isClosed && (
          <ScanPart
            mine={mine}
            isDrill={recall.drill}
            onApart={(containerId) => answer([{ containerId, answer: 'set-apart', eatenOn: null }])}
          />
        )}
        {open.length === 0 && !isClosed && <p role="status">{t('recalls.allAnswered')}</p>}
        <List>
          {mine.map((container) => (
            <ContainerAnswers
              key={container.id}
              container={container}
              isClosed={isClosed}
              onAnswer={(given) => answer([given])}
            />
          ))}
        </List>
      </Card>
      <Card title={t('recalls.ill.title')}>
        <p>{t('recalls.ill.words')}</p>
        <Note>
          {t('recalls.rule')} {recall.reference && t('recalls.reference', { reference: recall.reference })}
        </Note>
      </Card>
    </>
  );
}

/** Whether the container in one's hand is one of them, and setting it apart at once. */
function ScanPart(props: { mine: Recall['mine']; isDrill: boolean; onApart: (containerId: string) => void }) {
  const t = useT();
  const { isDrill } = props;
  const [code, setCode] = useState('');
  const found = props.mine.find((each) => each.code === code);
  const isOpen = found?.fate === 'none';
  return (
    <ScanButton isForMany onCode={setCode} onOpen={() => setCode('')}>
      {code !== '' && !found && <p>{t(isDrill ? 'recalls.scanned.drillNot' : 'recalls.scanned.not', { code })}</p>}
      {found && (
        <StateMark state={!isOpen ? 'done' : isDrill ? 'waiting' : 'problem'}>
          {isOpen
            ? t(isDrill ? 'recalls.scanned.drill' : 'recalls.scanned.yours', { dish: found.dish, code })
            : t(isDrill ? 'recalls.scanned.drillAnswered' : 'recalls.scanned.answered', { dish: found.dish, code })}
        </StateMark>
      )}
      {isOpen && (
        <Button tall onPress={() => props.onApart(found.id)}>
          {t('recalls.fate.set-apart')}
        </Button>
      )}
    </ScanButton>
  );
}

function Why({ recall, n }: { recall: Recall; n: number }) {
  const t = useT();
  const formats = useFormats();
  const { what, lotCode, reason, drill, createdBy, createdAt } = recall;
  const unsure = [...new Set(recall.mine.filter(({ sure }) => !sure).map(({ dish }) => dish))];
  return (
    <>
      {drill && <p>{t('recalls.drillWords')}</p>}
      <p className="lead">
        {t('recalls.why', { what, lot: lotCode })} {reason}
      </p>
      {unsure.length > 0 && <p>{t('recalls.mayContain', { dishes: formats.list(unsure) })}</p>}
      <p className="soft">
        {t('recalls.startedBy', { name: createdBy, at: formats.dayTime(createdAt) })}. {t('recalls.whatToDo', { n })}
      </p>
    </>
  );
}
