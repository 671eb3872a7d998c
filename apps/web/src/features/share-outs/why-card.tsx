import { rational } from '@frostmoot/calc';
import { useFormats, type Formats } from '../../lib/formats.ts';
import { useT, type Translate } from '../../lib/locale.tsx';
import { Card } from '../../ui/card.tsx';
import { Sum } from '../../ui/figures.tsx';
import { portionsOf, type ShareOut, type ShareOutPart } from './share-out-query.ts';
import { whySum, type WhySum } from './why-sum.ts';

const TWO = { least: 2, most: 2 };
const ONE = { least: 1, most: 2 };

/** Why my household gets what it gets: five lines to check by hand, and what it may not eat in words. */
export function WhyCard({ shareOut, own }: { shareOut: ShareOut; own: ShareOutPart }) {
  const t = useT();
  const formats = useFormats();
  const sum = whySum(own, shareOut.parts);
  return (
    <Card title={t('shareOut.why', { portions: formats.quantity(sum.received) })}>
      <p>
        {t('shareOut.whyIntro', {
          round: shareOut.roundNumber,
          n: shareOut.totalPortions,
          weight: formats.quantity(sum.weight, ONE),
          total: formats.quantity(sum.totalWeight, ONE),
        })}
      </p>
      <Sum lines={linesOf(sum, shareOut, own, t, formats)} />
      <WhyWords shareOut={shareOut} own={own} sum={sum} />
    </Card>
  );
}

function linesOf(sum: WhySum, shareOut: ShareOut, own: ShareOutPart, t: Translate, formats: Formats) {
  const round = shareOut.roundNumber;
  const portions = formats.quantity(sum.shared);
  const factors = {
    portions,
    weight: formats.quantity(sum.weight, ONE),
    total: formats.quantity(sum.totalWeight, ONE),
  };
  const isByWeight = rational.eq(sum.byWeight, sum.entitlement);
  const before = rational.sign(sum.owedBefore);
  const after = rational.sign(sum.owedAfter);
  // Since the confirmation containers may have been released or swapped; how many it gave is then not known here.
  const asShared = rational.eq(rational.rational(BigInt(portionsOf(own.containers))), sum.received);
  return [
    {
      name: t('shareOut.line.part', { portions }),
      note: isByWeight
        ? t('shareOut.line.byWeight', factors)
        : t('shareOut.line.notByWeight', { ...factors, share: formats.quantity(sum.byWeight, TWO) }),
      value: formats.quantity(sum.entitlement, TWO),
    },
    {
      name: t(before > 0 ? 'shareOut.line.toCome' : before < 0 ? 'shareOut.line.ahead' : 'shareOut.line.nothingOpen'),
      note: round > 1 ? t('shareOut.line.after', { round: round - 1 }) : undefined,
      value: formats.quantity(sum.owedBefore, TWO, 'exceptZero'),
    },
    { name: t('shareOut.line.target'), value: formats.quantity(sum.target, TWO), total: true },
    {
      name: t('shareOut.line.nearest'),
      note: asShared ? t('common.containers', { n: own.containers.length }) : undefined,
      value: formats.quantity(sum.received, TWO),
    },
    {
      name: (
        <strong>
          {t(after < 0 ? 'shareOut.line.nowAhead' : after > 0 ? 'shareOut.line.nowToCome' : 'shareOut.line.nowEven')}
        </strong>
      ),
      note:
        after === 0 ? undefined : t(after < 0 ? 'shareOut.line.takenOff' : 'shareOut.line.added', { round: round + 1 }),
      value: formats.quantity(rational.abs(sum.owedAfter), TWO),
    },
  ];
}

function WhyWords({ shareOut, own, sum }: { shareOut: ShareOut; own: ShareOutPart; sum: WhySum }) {
  const t = useT();
  const formats = useFormats();
  const dishes = own.cannotEat ?? [];
  const held = portionsOf(own.containers);
  const changed = shareOut.state === 'confirmed' && held !== Number(rational.toDecimal(sum.received, 6));
  return (
    <div className="stack stack-tight soft">
      <p>
        {dishes.length > 0
          ? t('shareOut.whyExcluded', { n: dishes.length, dishes: formats.list(dishes) })
          : t('shareOut.whyAllDishes')}
      </p>
      <p>{t('shareOut.whyNearest', { n: shareOut.largestContainer })}</p>
      {shareOut.policy === 'before' && <p>{t('shareOut.whyClaimed')}</p>}
      {changed && <p>{t('shareOut.whyChanged', { n: held })}</p>}
      {!sum.addsUpRounded && <p>{t('shareOut.whyRounded')}</p>}
    </div>
  );
}
