import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { rational } from '@frostmoot/calc';
import { useFormats } from '../../lib/formats.ts';
import type { Household } from '../../lib/household-queries.ts';
import { useT } from '../../lib/locale.tsx';
import { useCooperativeId } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Card } from '../../ui/card.tsx';
import { Dialog } from '../../ui/dialog.tsx';
import { Sum } from '../../ui/figures.tsx';
import { Row, Stack } from '../../ui/page.tsx';
import { Problem } from '../../ui/problem-box.tsx';
import { QueryView } from '../../ui/query-view.tsx';
import { leavingQuery, useSettleLeaving, type Leaving } from './leaving.ts';

/** For coordinators: a household leaves, after its figures and what they bring about have been shown. */
export function LeavingCard({ household }: { household: Household }) {
  const t = useT();
  const formats = useFormats();
  const [isOpen, setOpen] = useState(false);
  const { name } = household;
  return (
    <Card title={t('household.leaving.title')} id="leaving">
      {household.leftOn !== null ? (
        <p>{t('household.leaving.left', { household: name, date: formats.day(household.leftOn, 'dated') })}</p>
      ) : (
        <>
          <p className="soft">{t('household.leaving.words')}</p>
          <Row>
            <Button onPress={() => setOpen(true)}>{t('household.leaving.open')}</Button>
          </Row>
        </>
      )}
      <Dialog
        title={`${name}: ${t('household.leaving.title')}`}
        isOpen={isOpen && household.leftOn === null}
        onClose={() => setOpen(false)}
      >
        <LeavingFigures householdId={household.id} onClose={() => setOpen(false)} />
      </Dialog>
    </Card>
  );
}

function LeavingFigures({ householdId, onClose }: { householdId: string; onClose: () => void }) {
  const query = useQuery(leavingQuery(useCooperativeId(), householdId));
  return (
    <QueryView query={query} lines={4}>
      {(leaving) => <LeavingForm leaving={leaving} onClose={onClose} />}
    </QueryView>
  );
}

function LeavingForm({ leaving, onClose }: { leaving: Leaving; onClose: () => void }) {
  const t = useT();
  const settle = useSettleLeaving(leaving, onClose);
  const confirm = useConfirmWords(leaving);
  const household = leaving.household.name;
  return (
    <Stack>
      <LeavingSum leaving={leaving} />
      {leaving.blockedBy.map((reason) => (
        <p key={reason}>{t(`household.leaving.blocked.${reason}`)}</p>
      ))}
      {leaving.blockedBy.length === 0 && <p>{t('household.leaving.consequence', { household })}</p>}
      <Problem error={settle.error} />
      <Row>
        {leaving.blockedBy.length === 0 && (
          <Button onPress={() => settle.mutate(leaving)} isPending={settle.isPending}>
            {confirm}
          </Button>
        )}
        <Button kind="plain" onPress={onClose}>
          {t('household.leaving.keep')}
        </Button>
      </Row>
    </Stack>
  );
}

/** The button says what is paid, since the act depends on it. */
function useConfirmWords({ household: { name }, moneyMinor }: Leaving): string {
  const t = useT();
  const formats = useFormats();
  if (moneyMinor === null) return t('household.leaving.confirm', { household: name });
  const values = { household: name, amount: formats.absoluteMoney(moneyMinor) };
  return moneyMinor.startsWith('-')
    ? t('household.leaving.confirmPays', values)
    : t('household.leaving.confirmGets', values);
}

function LeavingSum({ leaving }: { leaving: Leaving }) {
  const t = useT();
  const formats = useFormats();
  const { portionsMicro, costPerPortionMinor, roundNumber, moneyMinor, takenOver, household } = leaving;
  if (portionsMicro === '0') return <p>{t('household.leaving.nothing')}</p>;
  const portions = formats.absolutePortions(portionsMicro);
  const word = portionsMicro.startsWith('-') ? 'common.portionsAhead' : 'common.portionsToCome';
  const lines = [{ name: t('household.leaving.portions'), value: t(word, { portions }) }];
  const price = costPerPortionMinor && {
    name: t('household.leaving.cost'),
    note: t('household.leaving.costNote', { round: roundNumber ?? 0 }),
    value: formats.money(rational.round(rational.parse(costPerPortionMinor)).toString()),
  };
  const paid = moneyMinor !== null && {
    name: t(moneyMinor.startsWith('-') ? 'household.leaving.pays' : 'household.leaving.gets', {
      household: household.name,
    }),
    value: formats.absoluteMoney(moneyMinor),
    total: true,
  };
  return (
    <>
      <Sum lines={[...lines, ...(price ? [price] : []), ...(paid ? [paid] : [])]} />
      {price && moneyMinor === null && <p>{t('household.leaving.noMoney')}</p>}
      {takenOver.length > 0 && (
        <>
          <h3>{t('household.leaving.takenOver')}</h3>
          <Sum
            lines={takenOver.map((part) => ({
              name: part.household.name,
              note: t('household.leaving.portionsOf', { portions: formats.absolutePortions(part.portionsMicro) }),
              value: formats.signedMoney(part.moneyMinor),
            }))}
          />
        </>
      )}
    </>
  );
}
