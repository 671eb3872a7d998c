import { rational } from '@frostmoot/calc';
import { useFoodWords } from '../../lib/food-words.ts';
import { useFormats } from '../../lib/formats.ts';
import { T, useT } from '../../lib/locale.tsx';
import { Card } from '../../ui/card.tsx';
import type { Buying, SellerList } from './shopping.ts';

/** Why these packs: whole packs at the least cost for each ingredient, and what they leave over. */
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
      {left.length > 0 && <p className="soft">{t('buying.leftOverAll', { list: formats.list(left) })}</p>}
    </Card>
  );
}
