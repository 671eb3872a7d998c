import { useQuery } from '@tanstack/react-query';
import { useState } from 'react';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Card } from '../../ui/card.tsx';
import { focusLater } from '../../ui/focus-later.ts';
import { Row } from '../../ui/page.tsx';
import { QueryView } from '../../ui/query-view.tsx';
import { CookingForm } from './cooking-form.tsx';
import { cookingQuery, type Cooking } from './cooking-query.ts';

/** What a household's turns depend on besides its pots: rest, away weeks, dishes. */
export function CookingCard({ householdId, mayChange }: { householdId: string; mayChange: boolean }) {
  const t = useT();
  const { cooperativeId } = useSession();
  const cooking = useQuery(cookingQuery(cooperativeId, householdId));
  const [isOpen, setOpen] = useState(false);
  const close = () => {
    setOpen(false);
    focusLater('#cooking .button');
  };
  return (
    <Card title={t('household.cooking')} id="cooking">
      <QueryView query={cooking} lines={4}>
        {(data) =>
          isOpen ? (
            <CookingForm cooking={data} onDone={close} />
          ) : (
            <>
              <Facts cooking={data} />
              {mayChange && (
                <Row>
                  <Button onPress={() => setOpen(true)}>
                    {t('common.change')}
                    <span className="hidden"> {t('household.cooking')}</span>
                  </Button>
                </Row>
              )}
            </>
          )
        }
      </QueryView>
    </Card>
  );
}

function Facts({ cooking: { minGapWeeks, awayWeeks, dishes } }: { cooking: Cooking }) {
  const t = useT();
  const formats = useFormats();
  return (
    <dl className="cooking-facts">
      <dt>{t('household.cooking.gap')}</dt>
      <dd>{t('household.cooking.gapWords', { n: minGapWeeks })}</dd>
      <dt>{t('household.cooking.away')}</dt>
      <dd>
        {awayWeeks.length === 0
          ? t('household.cooking.awayNone')
          : formats.list(awayWeeks.map((week) => formats.day(week, 'short')))}
      </dd>
      <dt>{t('household.cooking.dishes')}</dt>
      <dd>{dishes.length === 0 ? t('household.cooking.dishesNone') : formats.list(dishes.map(({ name }) => name))}</dd>
    </dl>
  );
}
