import { useState } from 'react';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { Button } from '../../ui/button.tsx';
import { Card, Note } from '../../ui/card.tsx';
import { DataTable } from '../../ui/data-table.tsx';
import { Figures } from '../../ui/figures.tsx';
import { Row } from '../../ui/page.tsx';
import { PrintButton } from '../../ui/print-button.tsx';
import { Problem, ProblemPoint, ProblemBox } from '../../ui/problem-box.tsx';
import { StateMark, type StateShape } from '../../ui/state-mark.tsx';
import { say } from '../../ui/toast.tsx';
import { CloseRecall } from './close-recall.tsx';
import { HouseholdAnswers } from './household-answers.tsx';
import type { RecalledHousehold, Recall, Report } from './recall-query.ts';
import { TraceChain } from './trace-chain.tsx';
import type { useRecall } from './use-recall.ts';

const SHAPES: Record<RecalledHousehold['state'], StateShape> = {
  'not-reached': 'problem',
  told: 'waiting',
  seen: 'waiting',
  answered: 'done',
};
const PARTS = ['setApart', 'eaten', 'givenAway', 'notFound', 'gone', 'none'] as const;

/** The coordinator's view: who is not reached first, the counts, where it went, household by household. */
export function RecallReport(props: {
  recall: Recall;
  report: Report;
  acts: ReturnType<typeof useRecall>;
  isMain: boolean;
}) {
  const { recall, report, acts } = props;
  const t = useT();
  const formats = useFormats();
  const [answering, setAnswering] = useState<RecalledHousehold | null>(null);
  const { counts, households } = report;
  const isOpen = recall.closedAt === null;
  const missing = isOpen ? households.filter(({ state }) => state === 'not-reached') : [];
  const answered = households.filter(({ state }) => state === 'answered').length;
  const nameOf = ({ household }: RecalledHousehold) => household?.name ?? t('recalls.common');
  const told = ({ household, mailedAt, seenBy }: RecalledHousehold) => {
    if (!household) return '';
    const mail = mailedAt ? [t('recalls.told.mail', { at: formats.time(mailedAt) })] : [];
    const names = [...new Set(seenBy.map(({ name }) => name))];
    const seen = names.length > 0 ? [t('recalls.told.seen', { names: formats.list(names) })] : [];
    return [t('recalls.told.screen'), ...mail, ...seen].join(', ');
  };
  const answerWords = (row: RecalledHousehold) => {
    if (row.state === 'not-reached' && row.none === row.containers) return t('recalls.state.notReached');
    if (row.none === row.containers) return t('recalls.state.noAnswer');
    return PARTS.filter((part) => row[part] > 0)
      .map((part) => t(`recalls.part.${part}`, { n: row[part] }))
      .join(', ');
  };
  return (
    <>
      {missing.length > 0 && (
        <ProblemBox title={t('recalls.notReached', { household: nameOf(missing[0] as RecalledHousehold) })}>
          {missing.map((row, index) => (
            <ProblemPoint
              key={row.household?.id ?? ''}
              title={index === 0 ? undefined : t('recalls.notReached', { household: nameOf(row) })}
              action={
                <Button kind={props.isMain && index === 0 ? 'main' : 'normal'} onPress={() => setAnswering(row)}>
                  {t('recalls.enterAnswer')}
                </Button>
              }
            >
              {row.people.length > 0
                ? t('recalls.notReachedWords', { n: row.containers, people: formats.list(row.people) })
                : t('recalls.notReachedNobody', { n: row.containers })}
            </ProblemPoint>
          ))}
        </ProblemBox>
      )}
      <Problem error={acts.remind.problem} />
      <Figures
        items={[
          {
            name: t('recalls.count.all'),
            value: formats.number(counts.all),
            note: t('recalls.count.allNote', { portions: counts.portions }),
          },
          { name: t('recalls.fate.set-apart'), value: formats.number(counts.setApart) },
          { name: t('recalls.fate.eaten'), value: formats.number(counts.eaten) },
          {
            name: t('recalls.count.elsewhere'),
            value: formats.number(counts.givenAway + counts.notFound + counts.gone),
          },
          { name: t('recalls.count.none'), value: formats.number(counts.none) },
        ]}
      />
      <TraceChain recall={recall} report={report} />
      <Card title={t('recalls.byHousehold')} aside={t('recalls.answeredOf', { n: answered, all: households.length })}>
        <DataTable
          caption={t('recalls.byHousehold')}
          rows={households}
          rowKey={(row) => row.household?.id ?? 'common'}
          columns={[
            { key: 'household', head: t('recalls.col.household'), rowHead: true, cell: nameOf },
            {
              key: 'containers',
              head: t('recalls.col.containers'),
              number: true,
              cell: (row) => formats.number(row.containers),
              phone: { word: t('recalls.col.containers') },
            },
            { key: 'told', head: t('recalls.col.told'), cell: told, phone: { wide: true } },
            {
              key: 'answer',
              head: t('recalls.col.answer'),
              cell: (row) => <StateMark state={SHAPES[row.state]}>{answerWords(row)}</StateMark>,
              phone: { wide: true },
            },
            {
              key: 'acts',
              head: t('recalls.col.acts'),
              headHidden: true,
              phone: { wide: true },
              cell: (row) =>
                isOpen && (
                  <Row>
                    {row.none > 0 && <Button onPress={() => setAnswering(row)}>{t('recalls.enterAnswer')}</Button>}
                    {row.none > 0 && row.household && (
                      <Button
                        onPress={() =>
                          acts.remind.mutate(row.household?.id ?? '', { onSuccess: () => say(t('recalls.reminded')) })
                        }
                      >
                        {t('recalls.remind')}
                      </Button>
                    )}
                  </Row>
                ),
            },
          ]}
        />
        <Row>
          <PrintButton />
          {isOpen && <CloseRecall none={counts.none} acts={acts} />}
        </Row>
        <Note>{t('recalls.rule')}</Note>
      </Card>
      {answering && (
        <HouseholdAnswers
          recall={recall}
          report={report}
          household={answering}
          name={nameOf(answering)}
          acts={acts}
          onClose={() => setAnswering(null)}
        />
      )}
    </>
  );
}
