import { useEffect, useRef, useState } from 'react';
import { readDecimal } from '../../lib/format/typed-number.ts';
import { useKeptState } from '../../lib/kept-state.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Choices, TextField } from '../../ui/fields.tsx';
import { Fields, Form } from '../../ui/form.tsx';
import type { Diner, Restriction } from './household-query.ts';
import { RestrictionFields } from './restriction-fields.tsx';
import { useSaveDiner } from './use-diners.ts';
import { useYear } from './use-year.ts';
import { CHILD_BELOW, yearOf } from './weight-policy.ts';

const FIRST_YEAR = 1900;

interface Typed {
  name: string;
  ageBand: 'adult' | 'child';
  birthYear: string;
  restrictions: Restriction[];
  consent: boolean;
}

const typedFrom = (diner: Diner | null): Typed => ({
  name: diner?.name ?? '',
  ageBand: diner?.ageBand ?? 'adult',
  birthYear: diner?.birthYear ? String(diner.birthYear) : '',
  restrictions: [...(diner?.restrictions ?? [])],
  // What is kept already was consented to; a new restriction asks again, since the tick is taken out by it.
  consent: (diner?.restrictions ?? []).length > 0,
});

/** Somebody who eats, new or changed. What is typed lasts until it is saved or left. */
export function DinerForm({
  householdId,
  diner,
  onDone,
}: {
  householdId: string;
  diner: Diner | null;
  onDone: () => void;
}) {
  const t = useT();
  const year = useYear();
  const { cooperative } = useSession();
  const box = useRef<HTMLDivElement>(null);
  const [typed, setTyped, forget] = useKeptState(`diner-${householdId}-${diner?.id ?? 'new'}`, () => typedFrom(diner));
  const [checked, setChecked] = useState(false);
  const leave = () => {
    forget();
    onDone();
  };
  const save = useSaveDiner(householdId, diner, leave);
  const change = (part: Partial<Typed>) => setTyped((old) => ({ ...old, ...part }));
  useEffect(() => box.current?.querySelector('input')?.focus(), []);

  const last = yearOf(cooperative.today);
  const birthYear = typed.birthYear.trim() === '' ? null : Number(readDecimal(typed.birthYear) ?? NaN);
  const yearWrong =
    birthYear !== null && !(Number.isInteger(birthYear) && birthYear >= FIRST_YEAR && birthYear <= last);
  const consentMissing = typed.restrictions.length > 0 && !typed.consent;
  const submit = () => {
    setChecked(true);
    if (yearWrong || consentMissing) return;
    const { name, ageBand, restrictions, consent } = typed;
    save.mutate({ name, ageBand, birthYear, restrictions, consent });
  };
  return (
    <div ref={box} className="diner-form">
      <Form
        label={diner ? t('household.changeDiner', { name: diner.name }) : t('household.addDiner')}
        onSubmit={submit}
        error={save.error}
        acts={
          <>
            <Button kind="main" type="submit" isPending={save.isPending}>
              {t('common.save')}
            </Button>
            <Button kind="plain" onPress={leave}>
              {t('common.cancel')}
            </Button>
          </>
        }
      >
        <TextField
          name="name"
          label={t('household.diner.name')}
          required
          maxLength={120}
          autoComplete="off"
          value={typed.name}
          onChange={(name) => change({ name })}
        />
        <Fields two>
          <Choices
            name="ageBand"
            label={t('household.diner.ageBand')}
            value={typed.ageBand}
            onChange={(ageBand) => change({ ageBand: ageBand as Typed['ageBand'] })}
            options={[
              { value: 'adult', label: t('household.diner.adult') },
              { value: 'child', label: t('household.diner.child') },
            ]}
          />
          <TextField
            name="birthYear"
            label={t('household.diner.birthYear')}
            hint={t('household.diner.birthYearHint', { age: CHILD_BELOW })}
            inputMode="numeric"
            autoComplete="off"
            value={typed.birthYear}
            onChange={(birthYearTyped) => change({ birthYear: birthYearTyped })}
            error={
              checked && yearWrong
                ? t('household.diner.birthYearWrong', { first: year(FIRST_YEAR), last: year(last) })
                : undefined
            }
          />
        </Fields>
        <RestrictionFields
          value={typed.restrictions}
          onChange={(restrictions) =>
            change({ restrictions, consent: typed.consent && restrictions.length <= typed.restrictions.length })
          }
          consent={typed.consent}
          onConsent={(consent) => change({ consent })}
          consentError={checked && consentMissing ? t('household.restrictions.consentMissing') : undefined}
        />
      </Form>
    </div>
  );
}
