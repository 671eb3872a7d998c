import { rational } from '@frostmoot/calc';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { LitresBar } from '../../ui/bars.tsx';
import { LinkButton } from '../../ui/button.tsx';
import { Card, Empty } from '../../ui/card.tsx';
import { StateMark } from '../../ui/state-mark.tsx';
import type { Freezer } from './freezer-query.ts';
import { litresComing } from './use-first.ts';

const numberOf = (value: rational.Rational): number => Number(rational.toDecimal(value, 3));

/** Room in the freezer: full is in use, hatched is set aside for us and still to be collected. */
export function SpaceCard({ freezer }: { freezer: Freezer }) {
  const t = useT();
  const formats = useFormats();
  const taken = rational.parse(freezer.litresUsed);
  const coming = litresComing(freezer.items);
  const used = rational.sub(taken, coming);
  const litres = (value: rational.Rational) => formats.unit(value, 'liter', { least: 0, most: 1 }, 'long');
  if (freezer.litresTotal === null) {
    return (
      <Card title={t('freezer.space')}>
        <Empty
          title={t('freezer.inUse', { litres: litres(taken) })}
          action={<LinkButton to="/household">{t('freezer.enterSize')}</LinkButton>}
        >
          {t('freezer.sizeUnknown')}
        </Empty>
      </Card>
    );
  }
  const total = rational.parse(freezer.litresTotal);
  const free = rational.sub(total, taken);
  const isOver = rational.sign(free) < 0;
  return (
    <Card title={t('freezer.space')}>
      <LitresBar
        used={numberOf(used)}
        coming={numberOf(coming)}
        total={numberOf(total)}
        title={
          isOver ? (
            <StateMark state="problem">{t('freezer.tooFull', { litres: litres(rational.neg(free)) })}</StateMark>
          ) : (
            t('freezer.litresFree', {
              free: formats.quantity(free, { least: 0, most: 1 }),
              total: litres(total),
            })
          )
        }
      >
        <p>
          {rational.isZero(coming)
            ? t('freezer.inUse', { litres: litres(used) })
            : t('freezer.inUseAndComing', {
                litres: litres(used),
                coming: formats.quantity(coming, { least: 0, most: 1 }),
              })}
        </p>
      </LitresBar>
    </Card>
  );
}
