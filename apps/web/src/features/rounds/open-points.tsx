import { rational } from '@frostmoot/calc';
import { Link } from '@tanstack/react-router';
import type { ReactNode } from 'react';
import { useFoodWords } from '../../lib/food-words.ts';
import { useFormats, type Formats } from '../../lib/formats.ts';
import { useT, type Translate } from '../../lib/locale.tsx';
import type { Round } from '../../lib/round-stage.ts';
import { useSession } from '../../lib/session.tsx';
import { Button, LinkButton } from '../../ui/button.tsx';
import { ProblemBox, ProblemPoint } from '../../ui/problem-box.tsx';
import { withBatches } from './dish-draft.ts';
import type { Dishes } from './use-dishes.ts';

type OpenPoint = Round['openPoints'][number];
type Facts = OpenPoint['facts'];
const text = (facts: Facts, name: string): string => String(facts[name] ?? '');
const count = (facts: Facts, name: string): number => Number(facts[name] ?? 0);

/** What does not add up: the two numbers, the remedy with its price, and the remedy as its button. Gone when nothing is open. */
export function OpenPoints({ round, dishes }: { round: Round; dishes?: Dishes }) {
  const t = useT();
  if (round.openPoints.length === 0) return null;
  return (
    <ProblemBox title={t('round.doesNotAddUp', { n: round.openPoints.length })}>
      <div>
        {round.openPoints.map((point) => (
          <Point key={point.code + JSON.stringify(point.facts)} point={point} round={round} dishes={dishes} />
        ))}
      </div>
    </ProblemBox>
  );
}

function Point({ point, round, dishes }: { point: OpenPoint; round: Round; dishes?: Dishes }) {
  const t = useT();
  const formats = useFormats();
  const food = useFoodWords();
  const values = valuesOf(point, round, formats, food);
  return (
    <ProblemPoint
      title={t(`round.point.${point.code}`, values)}
      action={<Remedy point={point} round={round} dishes={dishes} />}
    >
      <p>{t(`round.point.${point.code}.detail`, values)}</p>
      {point.remedy?.kind === 'add-batch' && <p>{batchWords(point, round, t, formats)}</p>}
    </ProblemPoint>
  );
}

function valuesOf(point: OpenPoint, round: Round, formats: Formats, food: ReturnType<typeof useFoodWords>) {
  const { facts, code } = point;
  const litres = (name: string) => formats.quantity(`${count(facts, name)}/1000`, { least: 0, most: 1 });
  return {
    round: round.number,
    wanted: formats.quantity(text(facts, 'wanted') || '0'),
    planned: count(facts, 'planned'),
    short: formats.quantity(text(facts, 'short') || '0'),
    ingredient: text(facts, 'ingredient'),
    needed: code === 'no-offer' ? food.amount(text(facts, 'needed'), text(facts, 'unit')) : '',
    household: text(facts, 'household'),
    dish: text(facts, 'dish'),
    lotCode: text(facts, 'lotCode'),
    neededLitres: litres('neededMl'),
    freeLitres: litres('freeMl'),
    shortLitres: litres('shortMl'),
    n: count(facts, 'swaps') || count(facts, 'containers'),
    portions: count(facts, 'portions'),
  };
}

/** "One more batch of mushroom barley pot makes 76 and adds €8.10." */
function batchWords(point: OpenPoint, round: Round, t: Translate, formats: Formats): string {
  const remedy = point.remedy?.facts ?? {};
  const planned = count(point.facts, 'planned') + count(remedy, 'portions');
  const extra = rational.sub(rational.rational(BigInt(planned)), rational.parse(round.portionsWanted));
  const values = {
    dish: text(remedy, 'dish'),
    makes: planned,
    amount: remedy.costMinor ? formats.money(text(remedy, 'costMinor')) : '',
  };
  if (rational.sign(extra) > 0) {
    return t(remedy.costMinor ? 'round.batchMoreExtra' : 'round.batchMoreExtraNoPrice', {
      ...values,
      extra: formats.quantity(extra),
    });
  }
  return t(remedy.costMinor ? 'round.batchMore' : 'round.batchMoreNoPrice', values);
}

function Remedy({ point, round, dishes }: { point: OpenPoint; round: Round; dishes?: Dishes }): ReactNode {
  const t = useT();
  const { can } = useSession();
  const { remedy } = point;
  const params = { roundId: round.id };
  switch (remedy?.kind) {
    case 'add-batch': {
      const { recipeId, batches } = remedy.facts;
      if (!dishes || round.stage !== 'planning' || !can('coordinator', 'buyer', 'adult')) return null;
      const add = () => dishes.change(withBatches(dishes.dishes, String(recipeId), Number(batches) + 1));
      return <Button onPress={add}>{t('round.addThatBatch')}</Button>;
    }
    case 'add-offer':
      return (
        can('coordinator', 'buyer') && (
          <LinkButton to="/offers" search={{ ingredient: String(remedy.facts.ingredientId) }}>
            {t('round.addPrice')}
          </LinkButton>
        )
      );
    case 'set-kitchen':
      return (
        can('coordinator') && (
          <Link className="button" to="/rounds/$roundId/plan" params={params} hash="cook-day">
            {t('round.setKitchen')}
          </Link>
        )
      );
    case 'enter-receipt':
      return (
        <LinkButton to="/rounds/$roundId/buy/receipt" params={params}>
          {t('round.enterReceipt')}
        </LinkButton>
      );
    case 'enter-yield':
      return (
        <LinkButton to="/rounds/$roundId/cook" params={params} search={{ batch: String(remedy.facts.batchId) }}>
          {t('round.enterYield')}
        </LinkButton>
      );
    case 'confirm-share-out':
      return (
        <LinkButton to="/rounds/$roundId/share-out" params={params}>
          {t('round.openShareOut')}
        </LinkButton>
      );
    case 'answer-swap':
      return <LinkButton to="/swaps">{t('round.openSwaps')}</LinkButton>;
    default:
      return null;
  }
}
