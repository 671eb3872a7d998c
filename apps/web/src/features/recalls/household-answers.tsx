import { useT } from '../../lib/locale.tsx';
import { Button } from '../../ui/button.tsx';
import { Dialog } from '../../ui/dialog.tsx';
import { List } from '../../ui/list.tsx';
import { Problem } from '../../ui/problem-box.tsx';
import { ContainerAnswers } from './container-answers.tsx';
import type { RecalledHousehold, Recall, Report } from './recall-query.ts';
import type { useRecall } from './use-recall.ts';

/** What a household said on the telephone, entered for it by a coordinator. */
export function HouseholdAnswers(props: {
  recall: Recall;
  report: Report;
  household: RecalledHousehold;
  name: string;
  acts: ReturnType<typeof useRecall>;
  onClose: () => void;
}) {
  const t = useT();
  const { answer } = props.acts;
  const householdId = props.household.household?.id ?? null;
  const containers = props.report.containers.filter(({ household }) => (household?.id ?? null) === householdId);
  return (
    <Dialog title={t('recalls.enterAnswerOf', { household: props.name })} isOpen onClose={props.onClose}>
      <Problem error={answer.problem} />
      <List>
        {containers.map((container) => (
          <ContainerAnswers
            key={container.id}
            container={container}
            isPending={answer.isPending}
            isClosed={false}
            onAnswer={(given) => answer.mutate({ householdId, answers: [given] })}
          />
        ))}
      </List>
      <div>
        <Button onPress={props.onClose}>{t('common.close')}</Button>
      </div>
    </Dialog>
  );
}
