import { energySource, rational } from '@frostmoot/calc';
import { useFormats } from '../../lib/formats.ts';
import type { Household } from '../../lib/household-queries.ts';
import { useT } from '../../lib/locale.tsx';
import { useSession } from '../../lib/session.tsx';
import { Card, Note } from '../../ui/card.tsx';
import { Sum } from '../../ui/figures.tsx';
import { isChild, policyOf, weightLines, weightOf, yearOf, type Counted } from './weight-policy.ts';

const TWO = { least: 0, most: 2 };

/** How the household's headcount comes about, line by line, so that it can be checked by hand. */
export function WeightCard({ household }: { household: Household }) {
  const t = useT();
  const formats = useFormats();
  const { cooperative } = useSession();
  const lines = useLines(household);
  return (
    <Card title={t('household.weightTitle')}>
      <Sum
        lines={[
          ...lines,
          { name: t('household.weight.total'), value: formats.quantity(household.weight, TWO), total: true },
        ]}
      />
      <p className="soft">{t('household.weight.words')}</p>
      {cooperative.weightScale === 'energy' && (
        <Note>
          <p>{t('household.weight.energySource', { title: energySource.title, edition: energySource.edition })}</p>
        </Note>
      )}
    </Card>
  );
}

function useLines(household: Household) {
  const t = useT();
  const formats = useFormats();
  const { cooperative } = useSession();
  const year = yearOf(cooperative.today);
  const policy = policyOf(cooperative);
  if (policy.scale === 'own') {
    return [{ name: t('household.weight.own'), value: formats.quantity(household.weight, TWO) }];
  }
  if (policy.scale === 'energy') {
    return household.diners.map((diner) => ({
      name: nameOf(diner, year, t),
      value: formats.quantity(weightOf(diner, policy, year) ?? rational.zero, TWO),
    }));
  }
  // By head everybody who counts the same is an adult, or everybody is a child.
  const ofAge = (child: boolean): Counted[] => household.diners.filter((diner) => isChild(diner, year) === child);
  return [false, true].flatMap((child) =>
    weightLines(ofAge(child), policy, year).map(({ each, diners, total }) => {
      const values = { n: diners, each: formats.quantity(each, TWO) };
      return {
        name: child ? t('household.weight.children', values) : t('household.weight.adults', values),
        value: formats.quantity(total, TWO),
      };
    }),
  );
}

function nameOf({ name, birthYear }: Household['diners'][number], year: number, t: ReturnType<typeof useT>): string {
  return birthYear === null ? name : t('household.weight.byAge', { name, age: Math.max(0, year - birthYear) });
}
