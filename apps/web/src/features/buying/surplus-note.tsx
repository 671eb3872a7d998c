import { rational } from '@frostmoot/calc';
import { useFoodWords } from '../../lib/food-words.ts';
import { useFormats } from '../../lib/formats.ts';
import { T, useT } from '../../lib/locale.tsx';
import { Card } from '../../ui/card.tsx';
import type { Buying, SellerList } from './shopping.ts';

/** Why these packs: what they cost together, what the next best would cost, what this seller asks, and what is left over. */
export function SurplusNote({ buying, list }: { buying: Buying; list: SellerList }) {
  const t = useT();
  const formats = useFormats();
  const food = useFoodWords();
  const left = list.lines
    .filter((line) => rational.sign(rational.parse(line.surplus)) > 0)
    .map((line) =>
      t('buying.leftOver', { amount: food.amount(line.surplus, line.neededUnit), ingredient: line.ingredient.name }),
    );
  return (
    <Card title={t('buying.whyTitle')}>
      <p>
        <T k="buying.whyWords" values={{ n: buying.lists.length, amount: formats.money(buying.plannedMinor) }} />
      </p>
      <Comparison buying={buying} />
      <Asks list={list} />
      {left.length > 0 && <p className="soft">{t('buying.leftOverAll', { list: formats.list(left) })}</p>}
    </Card>
  );
}

/** What it would cost without one of the sellers, or what can be had from nobody else. */
function Comparison({ buying }: { buying: Buying }) {
  const t = useT();
  const formats = useFormats();
  const { why } = buying;
  if (!why) return null;
  const names = (all: readonly { name: string }[]) => formats.list(all.map(({ name }) => name));
  return (
    <>
      <p>{t(`buying.why.${why.proof}`)}</p>
      {why.next && (
        <p>
          {t('buying.why.next', {
            without: why.next.without.name,
            sellers: names(why.next.sellers),
            amount: formats.money(why.next.totalMinor),
          })}
        </p>
      )}
      {why.only.map(({ seller, ingredients }) => (
        <p className="soft" key={seller.id}>
          {t('buying.why.only', { seller: seller.name, ingredients: names(ingredients) })}
        </p>
      ))}
    </>
  );
}

/** The seller's fee, the threshold that is reached or what is missing to it, and its least order. */
function Asks({ list }: { list: SellerList }) {
  const t = useT();
  const formats = useFormats();
  const { seller, goodsMinor, feeMinor, asksMinor, freeFromMinor, minimumMinor } = list;
  const values = {
    seller: seller.name,
    fee: formats.money(asksMinor),
    goods: formats.money(goodsMinor),
    from: freeFromMinor === null ? '' : formats.money(freeFromMinor),
    missing: freeFromMinor === null ? '' : formats.money(String(BigInt(freeFromMinor) - BigInt(goodsMinor))),
    minimum: formats.money(minimumMinor),
  };
  const hasFee = BigInt(asksMinor) > 0n;
  const isReached = hasFee && feeMinor === '0';
  return (
    <>
      {isReached && <p>{t('buying.asks.freeReached', values)}</p>}
      {hasFee && !isReached && (
        <p>{t(freeFromMinor === null ? 'buying.asks.fee' : 'buying.asks.freeMissing', values)}</p>
      )}
      {BigInt(minimumMinor) > 0n && <p>{t('buying.asks.minimum', values)}</p>}
    </>
  );
}
