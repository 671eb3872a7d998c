import { useState } from 'react';
import { useFoodWords } from '../../lib/food-words.ts';
import type { Household } from '../../lib/household-queries.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Card, Empty, Note } from '../../ui/card.tsx';
import { focusLater } from '../../ui/focus-later.ts';
import { List, ListRow } from '../../ui/list.tsx';
import { DinerForm } from './diner-form.tsx';
import type { Diner } from './household-query.ts';
import { RemoveDinerDialog } from './remove-diner-dialog.tsx';
import { useYear } from './use-year.ts';
import { isChild, yearOf } from './weight-policy.ts';

/** Who eats in the household, and what they must not have. */
export function DinersCard({ household, mayChange }: { household: Household; mayChange: boolean }) {
  const t = useT();
  const { can, householdId } = useSession();
  const [open, setOpen] = useState<string | null>(null);
  const [removing, setRemoving] = useState<Diner | null>(null);
  const { diners } = household;
  const close = () => {
    setOpen(null);
    focusLater('#who-eats .button-main');
  };
  const add = (
    <Button kind="main" onPress={() => setOpen('new')}>
      {t('household.addDiner')}
    </Button>
  );
  const restrictionsHidden = diners.some(({ restrictions }) => restrictions === null);
  return (
    <Card title={t('household.whoEats')} id="who-eats">
      {diners.length === 0 && open !== 'new' && (
        <Empty title={t('household.nobody')}>{t('household.nobodyWords')}</Empty>
      )}
      {diners.length > 0 && (
        <List>
          {diners.map((diner) =>
            open === diner.id ? (
              <li key={diner.id}>
                <DinerForm householdId={household.id} diner={diner} onDone={close} />
              </li>
            ) : (
              <DinerRow
                key={diner.id}
                diner={diner}
                onChange={mayChange ? () => setOpen(diner.id) : undefined}
                onRemove={mayChange ? () => setRemoving(diner) : undefined}
              />
            ),
          )}
        </List>
      )}
      {open === 'new' && <DinerForm householdId={household.id} diner={null} onDone={close} />}
      {mayChange && open === null && add}
      {removing && <RemoveDinerDialog household={household} diner={removing} onClose={() => setRemoving(null)} />}
      {restrictionsHidden && <p className="soft">{t('household.notShown')}</p>}
      {!mayChange && household.id === householdId && can('reader') && <p className="soft">{t('household.readOnly')}</p>}
      {open === null && (
        <Note>
          <p>{t('common.notDeclared')}</p>
        </Note>
      )}
    </Card>
  );
}

function DinerRow({ diner, onChange, onRemove }: { diner: Diner; onChange?: () => void; onRemove?: () => void }) {
  const t = useT();
  return (
    <ListRow
      title={diner.name}
      detail={<Counts diner={diner} />}
      acts={
        onChange && (
          <>
            <Button onPress={onChange} aria-label={t('household.changeDiner', { name: diner.name })}>
              {t('common.change')}
            </Button>
            <Button kind="plain" onPress={onRemove} aria-label={t('household.removeDiner', { name: diner.name })}>
              {t('common.remove')}
            </Button>
          </>
        )
      }
    >
      <Restrictions diner={diner} />
    </ListRow>
  );
}

function Counts({ diner }: { diner: Diner }) {
  const t = useT();
  const year = useYear();
  const { cooperative } = useSession();
  const child = isChild(diner, yearOf(cooperative.today));
  if (diner.birthYear === null) return t(child ? 'household.child' : 'household.adult');
  return child
    ? t('household.childBorn', { year: year(diner.birthYear) })
    : t('household.adultBorn', { year: year(diner.birthYear) });
}

function Restrictions({ diner }: { diner: Diner }) {
  const t = useT();
  const food = useFoodWords();
  const formats = useFormats();
  const of = (strength: 'hard' | 'wish') =>
    (diner.restrictions ?? []).filter((each) => each.strength === strength).map(({ subject }) => food.subject(subject));
  const hard = of('hard');
  const wish = of('wish');
  return (
    <>
      {hard.length > 0 && <strong>{t('household.mustNot', { list: formats.list(hard) })}</strong>}
      {wish.length > 0 && <span>{t('household.ratherNot', { list: formats.list(wish) })}</span>}
    </>
  );
}
