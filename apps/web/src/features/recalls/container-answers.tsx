import { useState } from 'react';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { ContainerLead } from '../../ui/container-box.tsx';
import { DateField } from '../../ui/fields.tsx';
import { LabelCodes } from '../../ui/label-code.tsx';
import { ListRow } from '../../ui/list.tsx';
import { Row } from '../../ui/page.tsx';
import type { RecalledContainer } from './recall-query.ts';
import type { Answers } from './use-recall.ts';

type Answer = Answers['answers'][number];
const ANSWERS = ['set-apart', 'eaten', 'given-away', 'not-found'] as const;

/** One recalled container with its four answers, all alike; "Eaten" asks for the day. An answer can be changed until the recall is closed. */
export function ContainerAnswers(props: {
  container: RecalledContainer;
  onAnswer: (answer: Answer) => void;
  /** an answer is on its way that is not kept on this device */
  isPending?: boolean;
  isClosed: boolean;
}) {
  const t = useT();
  const formats = useFormats();
  const { cooperative } = useSession();
  const { container, onAnswer } = props;
  const [changing, setChanging] = useState(false);
  const [eatenOn, setEatenOn] = useState<string | null>(null);
  const { id, fate } = container;
  const isOpen = !props.isClosed && fate !== 'gone' && (fate === 'none' || changing);
  const give = (answer: Answer['answer'], on: string | null = null) => {
    setChanging(false);
    setEatenOn(null);
    onAnswer({ containerId: id, answer, eatenOn: on });
  };
  return (
    <ListRow
      lead={<ContainerLead portions={container.portions} />}
      title={t('recalls.containerOf', { dish: container.dish, portions: container.portions })}
      detail={
        <>
          {container.place && <>{container.place} · </>}
          <LabelCodes codes={[container.code]} />
          {!container.sure && <> · {t('recalls.maybe')}</>}
        </>
      }
    >
      {(fate !== 'none' || props.isClosed) && (
        <span>
          <strong>{t(`recalls.fate.${fate}`)}</strong>
          {container.eatenOn && <> · {formats.day(container.eatenOn)}</>}
        </span>
      )}
      {isOpen && eatenOn === null && (
        <div className="recall-answers">
          {ANSWERS.map((answer) => (
            <Button
              key={answer}
              isDisabled={props.isPending}
              onPress={() => (answer === 'eaten' ? setEatenOn(cooperative.today) : give(answer))}
            >
              {t(`recalls.fate.${answer}`)}
            </Button>
          ))}
        </div>
      )}
      {isOpen && eatenOn !== null && (
        <Row>
          <DateField label={t('recalls.eatenOn')} value={eatenOn} max={cooperative.today} onChange={setEatenOn} />
          <Button isDisabled={eatenOn === ''} onPress={() => give('eaten', eatenOn)}>
            {t('recalls.eatenSave')}
          </Button>
          <Button kind="plain" onPress={() => setEatenOn(null)}>
            {t('common.cancel')}
          </Button>
        </Row>
      )}
      {!isOpen && !props.isClosed && fate !== 'gone' && (
        <div>
          <Button kind="plain" onPress={() => setChanging(true)}>
            {t('recalls.changeAnswer')}
          </Button>
        </div>
      )}
    </ListRow>
  );
}
