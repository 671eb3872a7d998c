import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { Card, Note } from '../../ui/card.tsx';
import { Sum } from '../../ui/figures.tsx';

/** FDA Food Code 2022, 3-501.14 (A): from 57 to 21 °C within 2 hours, and to 5 °C within 6 hours in all. */
const COOLING = { fromCelsius: '57', middleCelsius: '21', toCelsius: '5', firstHours: 2, allHours: 6 };

/** FDA Food Code 2022, 3-401.11 (A) and 3-403.11: core temperatures that are held for the time named. */
const CORES = [
  { kind: 'whole', celsius: '63' },
  { kind: 'ground', celsius: '68' },
  { kind: 'poultry', celsius: '74' },
  { kind: 'reheat', celsius: '74' },
] as const;

export function CoolingCaution() {
  const t = useT();
  const formats = useFormats();
  const degrees = (celsius: string) => formats.unit(celsius, 'celsius', { least: 0, most: 0 });
  return (
    <Card title={t('kitchen.cooling')}>
      <Sum
        lines={[
          {
            name: t('kitchen.coolFirst', { from: degrees(COOLING.fromCelsius), to: degrees(COOLING.middleCelsius) }),
            value: t('kitchen.within', { n: COOLING.firstHours }),
          },
          {
            name: t('kitchen.coolAll', { from: degrees(COOLING.fromCelsius), to: degrees(COOLING.toCelsius) }),
            value: t('kitchen.withinInAll', { n: COOLING.allHours }),
          },
        ]}
      />
      <p>{t('kitchen.coolHow')}</p>
      <Note>
        <p>{t('kitchen.coolSource')}</p>
      </Note>
    </Card>
  );
}

export function CookingCaution() {
  const t = useT();
  const formats = useFormats();
  return (
    <Card title={t('kitchen.cores')}>
      <Sum
        lines={CORES.map(({ kind, celsius }) => ({
          name: t(`kitchen.core.${kind}`),
          note: t(`kitchen.core.${kind}.held`),
          value: formats.unit(celsius, 'celsius', { least: 0, most: 0 }),
        }))}
      />
      <Note>
        <p>{t('kitchen.coreSource')}</p>
      </Note>
    </Card>
  );
}
