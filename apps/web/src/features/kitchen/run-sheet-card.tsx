import { useState } from 'react';
import { api, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Card, Empty } from '../../ui/card.tsx';
import { Row } from '../../ui/page.tsx';
import { Problem } from '../../ui/problem-box.tsx';
import { BatchStepper } from '../../ui/stepper.tsx';
import { StateMark } from '../../ui/state-mark.tsx';
import type { RunSheet } from './run-sheet-query.ts';

/** Works the run sheet out, for so many people in this kitchen; says what the kitchen lacks and whether the sheet still holds. */
export function RunSheetCard({ sheet }: { sheet: RunSheet }) {
  const t = useT();
  const formats = useFormats();
  const { cooperativeId, can } = useSession();
  const [people, setPeople] = useState(sheet.people.length);
  const workOut = useWrite<Schemas['WorkOutRunSheet'], RunSheet>({
    write: (body, headers) =>
      ok<RunSheet>(
        api.POST('/api/cooperatives/{cooperativeId}/cook-days/{cookDayId}/run-sheet', {
          params: { path: { cooperativeId, cookDayId: sheet.cookDayId } },
          body,
          headers,
        }),
      ),
    topics: ['kitchen'],
  });
  const isOld = sheet.sheet?.isCurrent === false;
  const { kitchen } = sheet;
  const litres = (value: string) => formats.unit(value, 'liter', { least: 0, most: 1 });
  const has = [
    t('kitchen.run.has.hobs', { n: kitchen.hobs }),
    t('kitchen.run.has.ovens', { n: kitchen.ovens }),
    ...(kitchen.potsLitres.length > 0
      ? [t('kitchen.run.has.pots', { list: formats.list(kitchen.potsLitres.map(litres)) })]
      : []),
  ];
  if (sheet.makings.length === 0) {
    return (
      <Card title={t('kitchen.run.title')}>
        <Empty title={t('kitchen.run.none')}>{t('kitchen.run.noneDishes')}</Empty>
      </Card>
    );
  }
  return (
    <Card
      title={t(isOld ? 'kitchen.run.stale' : sheet.sheet ? 'kitchen.run.setUp' : 'kitchen.run.none')}
      framed={isOld || !sheet.sheet}
    >
      <p className="soft">{t(isOld ? 'kitchen.run.staleWords' : 'kitchen.run.noneWords')}</p>
      <p>{t('kitchen.run.kitchenOf', { household: kitchen.household.name, has: formats.list(has) })}</p>
      {!kitchen.isSaid && <p className="small soft">{t('kitchen.run.notSaid')}</p>}
      <Lacks sheet={sheet} />
      {can('coordinator', 'buyer', 'adult') && (
        <>
          <div className="row row-apart">
            <span>{t('kitchen.run.people')}</span>
            <BatchStepper label={t('kitchen.run.people')} min={1} max={12} value={people} onChange={setPeople} />
          </div>
          <Problem error={workOut.error} />
          <Row>
            <Button
              tall
              kind={sheet.sheet ? 'normal' : 'main'}
              isPending={workOut.isPending}
              onPress={() => workOut.mutate(people === sheet.people.length ? {} : { people })}
            >
              {t(sheet.sheet ? 'kitchen.run.workAgain' : 'kitchen.run.workOut')}
            </Button>
          </Row>
        </>
      )}
    </Card>
  );
}

function Lacks({ sheet }: { sheet: RunSheet }) {
  const t = useT();
  const formats = useFormats();
  if (sheet.lacks.length === 0) return null;
  const names = new Map(sheet.makings.map(({ key, name }) => [key, name]));
  const amount = (code: RunSheet['lacks'][number]['code'], value: string): string =>
    code === 'pot-too-small' ? formats.unit(value, 'liter', { least: 0, most: 1 }) : formats.quantity(value);
  return (
    <ul className="list" role="list">
      {sheet.lacks.map(({ code, step, making, needed, there }) => (
        <li key={`${code} ${step}`} className="list-row">
          <StateMark state="problem">
            {t(`kitchen.run.lack.${code}`, {
              dish: names.get(making) ?? '',
              needed: amount(code, needed),
              there: amount(code, there),
            })}
          </StateMark>
        </li>
      ))}
    </ul>
  );
}
