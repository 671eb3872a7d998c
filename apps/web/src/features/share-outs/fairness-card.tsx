import { rational } from '@frostmoot/calc';
import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { useFormats } from '../../lib/formats.ts';
import { householdsQuery } from '../../lib/household-queries.ts';
import { useT } from '../../lib/locale.tsx';
import { useCooperativeId } from '../../lib/session.tsx';
import { DivergingBar } from '../../ui/bars.tsx';
import { Button } from '../../ui/button.tsx';
import { Card } from '../../ui/card.tsx';
import { DataTable, type Column } from '../../ui/data-table.tsx';
import { balanceWords } from './everybody-card.tsx';
import { fairnessOver, type FairnessRow } from './fairness.ts';
import type { ShareOut } from './share-out-query.ts';

const SHOWN = 4;

/** How far ahead or behind every household was after each round, in words, and the last one as a bar. */
export function FairnessCard({ shareOut, householdId }: { shareOut: ShareOut; householdId: string }) {
  const t = useT();
  const formats = useFormats();
  const [all, setAll] = useState(false);
  const households = useQuery(householdsQuery(useCooperativeId())).data ?? [];
  const names = new Map([
    ...households.map(({ id, name }) => [id, name] as const),
    ...shareOut.parts.map(({ household }) => [household.id, household.name] as const),
  ]);
  if (shareOut.fairness.length === 0) return null;
  const fairness = fairnessOver(shareOut.fairness, names, all ? shareOut.fairness.length : SHOWN);
  const last = fairness.rounds.length - 1;
  const owedIn = (index: number) => (row: FairnessRow) => {
    const owed = row.after[index];
    return owed ? balanceWords(owed, t, formats) : t('shareOut.notInRound');
  };
  const columns: Column<FairnessRow>[] = [
    { key: 'household', head: t('shareOut.household'), rowHead: true, cell: ({ name }) => name },
    ...fairness.rounds.map((round, index): Column<FairnessRow> => ({
      key: `round-${round}`,
      head: t('common.roundNumber', { number: round }),
      number: true,
      phone: { off: index !== last && !all },
      cell: owedIn(index),
    })),
    {
      key: 'bar',
      head: t('shareOut.bar'),
      headHidden: true,
      cell: (row) => {
        const owed = row.after[last];
        return owed && <DivergingBar value={-Number(rational.toDecimal(owed, 6))} half={fairness.half} />;
      },
    },
  ];
  return (
    <Card title={t('shareOut.fair')}>
      <p className="soft measure">
        {t('shareOut.fairWords', {
          n: fairness.rounds.length,
          portions: formats.quantity(fairness.furthest, { least: 2, most: 2 }),
        })}{' '}
        {t('shareOut.fairBound', { n: shareOut.largestContainer })} {t('shareOut.fairBars', { n: fairness.half })}
      </p>
      <DataTable
        caption={t('shareOut.fair')}
        columns={columns}
        rows={fairness.rows}
        rowKey={(row) => row.householdId}
        mine={(row) => row.householdId === householdId}
        onPhone="table"
      />
      {shareOut.fairness.length > 1 && (
        <div className={shareOut.fairness.length > SHOWN ? undefined : 'phone-only'}>
          <Button onPress={() => setAll(!all)}>{t(all ? 'shareOut.lastRounds' : 'shareOut.allRounds')}</Button>
        </div>
      )}
    </Card>
  );
}
