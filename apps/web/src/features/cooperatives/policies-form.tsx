import { useState } from 'react';
import { api, ok } from '../../lib/api/client.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { useLocale } from '../../lib/locale.tsx';
import { useSession, type Cooperative } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Card, Note } from '../../ui/card.tsx';
import { Choices, Select, TextField } from '../../ui/fields.tsx';
import { Form } from '../../ui/form.tsx';
import { DecimalField } from '../../ui/number-fields.tsx';
import { say } from '../../ui/toast.tsx';
import { timeZoneOptions } from './places.ts';
import { ScaleMeaning } from './scale-meaning.tsx';
import { useKnownVersion } from './use-known-version.ts';

type Scale = Cooperative['weightScale'];
type Units = NonNullable<Schemas['ChangeCooperative']['unitSystem']>;
const SCALES = ['per-head', 'energy', 'own'] as const;
const CLAIMS = ['after', 'before', 'none'] as const;
const UNITS = ['metric', 'us', 'imperial'] as const;

/** The rules that everything is reckoned by: how heads are counted, how far ahead a household may claim, units and zone. */
export function PoliciesForm() {
  const { t } = useLocale();
  const { cooperative } = useSession();
  const [name, setName] = useState(cooperative.name);
  const [timeZone, setTimeZone] = useState(cooperative.timeZone);
  const [units, setUnits] = useState(cooperative.unitSystem as Units);
  const [scale, setScale] = useState<Scale>(cooperative.weightScale);
  const [childWeight, setChildWeight] = useState<string | null>(cooperative.childWeight);
  const [ahead, setAhead] = useState<string | null>(String(cooperative.claimAheadPortions));
  const [ringLimit, setRingLimit] = useState(String(cooperative.swapRingLimit ?? 'any'));
  const [credit, setCredit] = useState<string | null>(String(cooperative.swapCreditPortions));
  const [claims, setClaims] = useState<Cooperative['claimPolicy']>(cooperative.claimPolicy);
  const [hours, setHours] = useState<string | null>(String(cooperative.waitingHours));
  const save = useSavePolicies();
  const submit = () => {
    if (childWeight === null || ahead === null || credit === null || hours === null) return;
    save.mutate({
      name,
      timeZone,
      unitSystem: units,
      weightScale: scale,
      childWeight,
      claimAheadPortions: Number(ahead),
      swapRingLimit: ringLimit === '2' ? 2 : ringLimit === '3' ? 3 : null,
      swapCreditPortions: Number(credit),
      claimPolicy: claims,
      waitingHours: Number(hours),
    });
  };
  return (
    <Card title={t('coordinator.policies')} id="policies">
      <Form
        label={t('coordinator.policies')}
        onSubmit={submit}
        error={save.error}
        acts={
          <Button type="submit" isPending={save.isPending}>
            {t('common.save')}
          </Button>
        }
      >
        <TextField name="name" label={t('coordinator.name')} required maxLength={120} value={name} onChange={setName} />
        <Choices
          name="weightScale"
          label={t('coordinator.scale')}
          options={SCALES.map((value) => ({ value, label: t(`coordinator.scale.${value}`) }))}
          value={scale}
          onChange={(value) => setScale(value as Scale)}
        />
        <ScaleMeaning scale={scale} />
        {scale !== 'own' && (
          <DecimalField
            name="childWeight"
            label={t('coordinator.childWeight')}
            required
            value={childWeight}
            onChange={setChildWeight}
          />
        )}
        <DecimalField
          name="claimAheadPortions"
          label={t('coordinator.claimAhead')}
          hint={t('coordinator.claimAheadHint')}
          unit={t('coordinator.wholePortions')}
          decimals={0}
          required
          value={ahead}
          onChange={setAhead}
        />
        <Choices
          name="claimPolicy"
          label={t('coordinator.claimPolicy')}
          options={CLAIMS.map((value) => ({ value, label: t(`coordinator.claimPolicy.${value}`) }))}
          value={claims}
          onChange={(value) => setClaims(value as Cooperative['claimPolicy'])}
        />
        <DecimalField
          name="waitingHours"
          label={t('coordinator.waitingHours')}
          hint={t('coordinator.waitingHoursHint')}
          unit={t('coordinator.hours')}
          decimals={0}
          required
          value={hours}
          onChange={setHours}
        />
        <SwapFields limit={ringLimit} onLimit={setRingLimit} credit={credit} onCredit={setCredit} />
        <PlaceFields timeZone={timeZone} onTimeZone={setTimeZone} units={units} onUnits={setUnits} />
        <Note>
          <p>{t('coordinator.scaleNote')}</p>
        </Note>
      </Form>
    </Card>
  );
}

const RING_LIMITS = ['2', '3', 'any'] as const;

/** How long a ring of swaps may be, and how uneven. */
function SwapFields(props: {
  limit: string;
  onLimit: (limit: string) => void;
  credit: string | null;
  onCredit: (credit: string | null) => void;
}) {
  const { t } = useLocale();
  return (
    <>
      <Choices
        name="swapRingLimit"
        label={t('coordinator.ringLimit')}
        options={RING_LIMITS.map((value) => ({ value, label: t(`coordinator.ringLimit.${value}`) }))}
        value={props.limit}
        onChange={props.onLimit}
      />
      <DecimalField
        name="swapCreditPortions"
        label={t('coordinator.swapCredit')}
        hint={t('coordinator.swapCreditHint')}
        unit={t('coordinator.wholePortions')}
        decimals={0}
        required
        value={props.credit}
        onChange={props.onCredit}
      />
    </>
  );
}

function PlaceFields(props: {
  timeZone: string;
  onTimeZone: (zone: string) => void;
  units: Units;
  onUnits: (units: Units) => void;
}) {
  const { t, locale } = useLocale();
  const { cooperative } = useSession();
  const { options } = timeZoneOptions();
  const zones = options.some(({ value }) => value === props.timeZone)
    ? options
    : [{ value: props.timeZone, label: props.timeZone }, ...options];
  const currency = new Intl.DisplayNames(locale, { type: 'currency' }).of(cooperative.currency) ?? cooperative.currency;
  return (
    <>
      <Select
        name="timeZone"
        label={t('coordinator.timeZone')}
        options={zones}
        value={props.timeZone}
        onChange={props.onTimeZone}
      />
      <Select
        name="unitSystem"
        label={t('coordinator.units')}
        options={UNITS.map((value) => ({ value, label: t(`coordinator.units.${value}`) }))}
        value={props.units}
        onChange={(value) => props.onUnits(value as Units)}
      />
      <div className="field">
        <span className="field-label">{t('coordinator.currency')}</span>
        <span className="soft">{t('coordinator.currencyFixed', { currency })}</span>
      </div>
    </>
  );
}

function useSavePolicies() {
  const { t } = useLocale();
  const { cooperative, cooperativeId } = useSession();
  const withVersion = useKnownVersion(cooperative.version, ['cooperatives', cooperativeId]);
  return useWrite<Schemas['ChangeCooperative'], Cooperative>({
    write: (body, headers) =>
      withVersion((version) =>
        ok<Cooperative>(
          api.PATCH('/api/cooperatives/{cooperativeId}', {
            params: { path: { cooperativeId } },
            body,
            headers: { ...headers, ...version },
          }),
        ),
      ),
    topics: ['cooperative', 'households', 'rounds', 'recipes'],
    onSuccess: () => say(t('coordinator.saved')),
  });
}
