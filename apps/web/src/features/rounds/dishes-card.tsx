import { Link } from '@tanstack/react-router';
import { useState } from 'react';
import { useFoodWords } from '../../lib/food-words.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import type { RecipeSummary } from '../../lib/recipe-queries.ts';
import type { Round } from '../../lib/round-stage.ts';
import { useSession } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Card, Empty, Note } from '../../ui/card.tsx';
import { CellNote, DataTable, type Column } from '../../ui/data-table.tsx';
import { Row } from '../../ui/page.tsx';
import { BatchStepper } from '../../ui/stepper.tsx';
import { say } from '../../ui/toast.tsx';
import './rounds.css';
import { AddDishDialog } from './add-dish-dialog.tsx';
import { plannedPortions, withBatches, type WantedDish } from './dish-draft.ts';
import { wholeMinor } from './dish-figures.ts';
import { ProposalDialog } from './proposal-dialog.tsx';
import type { Dishes } from './use-dishes.ts';

interface DishesCardProps {
  round: Round;
  dishes: Dishes;
  recipes: readonly RecipeSummary[];
  perBatch: (recipeId: string) => number;
}

/** Dishes with their batches; a press on plus or minus answers at once, prices follow. */
export function DishesCard({ round, dishes, recipes, perBatch }: DishesCardProps) {
  const t = useT();
  const formats = useFormats();
  const { can } = useSession();
  const [isAdding, setAdding] = useState(false);
  const [isProposing, setProposing] = useState(false);
  const mayChange = round.stage === 'planning' && can('coordinator', 'buyer', 'adult');
  const wanted = dishes.dishes;
  const add = mayChange && (
    <Row>
      <Button onPress={() => setAdding(true)}>{t('round.addDish')}</Button>
      <Button onPress={() => setProposing(true)}>{t('round.proposal.open')}</Button>
    </Row>
  );
  return (
    <Card title={t('round.dishesTitle')} aside={t('round.cookDayOn', { date: formats.day(round.cookOn) })}>
      {wanted.length === 0 ? (
        <Empty title={t('round.noDish')} action={add}>
          {t('round.noDishWords', { wanted: formats.quantity(round.portionsWanted) })}
        </Empty>
      ) : (
        <>
          <DishTable round={round} dishes={dishes} recipes={recipes} perBatch={perBatch} mayChange={mayChange} />
          {add}
        </>
      )}
      {round.stage !== 'planning' && <p className="soft">{t('round.dishesFixed')}</p>}
      <Note>
        <p>{t('food.caution')}</p>
      </Note>
      {mayChange && (
        <AddDishDialog
          isOpen={isAdding}
          onClose={() => setAdding(false)}
          recipes={recipes.filter(
            ({ id, portions }) => portions !== null && !wanted.some(({ recipeId }) => recipeId === id),
          )}
          onAdd={(recipeId) => dishes.change(withBatches(wanted, recipeId, 1))}
        />
      )}
      {mayChange && (
        <ProposalDialog round={round} dishes={dishes} isOpen={isProposing} onClose={() => setProposing(false)} />
      )}
    </Card>
  );
}

function DishTable(props: DishesCardProps & { mayChange: boolean }) {
  const { round, dishes, perBatch } = props;
  const t = useT();
  const formats = useFormats();
  const columns = useColumns(props);
  const total = plannedPortions(dishes.dishes, perBatch);
  const batches = dishes.dishes.reduce((sum, dish) => sum + dish.batches, 0);
  const feet: Record<string, string> = {
    dish: t('round.allDishes', { n: dishes.dishes.length }),
    batches: t('round.batches', { n: batches }),
    portions: formats.number(total),
    costs:
      round.costPerPortionMinor === null || dishes.isSaving ? '' : formats.money(wholeMinor(round.costPerPortionMinor)),
  };
  return (
    <div className="dishes-table">
      <DataTable
        caption={t('round.dishesTitle')}
        columns={columns.map((column) => ({ ...column, foot: feet[column.key] ?? '' }))}
        rows={dishes.dishes}
        rowKey={(dish) => dish.recipeId}
      />
    </div>
  );
}

function useColumns({
  round,
  dishes,
  recipes,
  mayChange,
  perBatch,
}: DishesCardProps & { mayChange: boolean }): Column<WantedDish>[] {
  const t = useT();
  const formats = useFormats();
  const food = useFoodWords();
  const dishOf = (recipeId: string) => {
    const planned = round.dishes.find((dish) => dish.recipeId === recipeId);
    const recipe = recipes.find(({ id }) => id === recipeId);
    return {
      name: planned?.name ?? recipe?.name ?? '',
      allergens: planned?.allergens ?? recipe?.allergens ?? [],
      containerPlan: planned?.containerPlan ?? recipe?.containerPlan ?? [],
      perPortion: planned?.costPerPortionMinor ?? null,
    };
  };
  const change = (dish: WantedDish, batches: number) => {
    const before = dishes.dishes;
    dishes.change(withBatches(before, dish.recipeId, batches));
    if (batches === 0) say(t('round.dishOut', { dish: dishOf(dish.recipeId).name }), () => dishes.change(before));
  };
  return [
    {
      key: 'dish',
      head: t('round.dish'),
      rowHead: true,
      cell: (wanted) => {
        const dish = dishOf(wanted.recipeId);
        const groups = dish.containerPlan.map(({ count, portions }) =>
          t('round.containersOf', { n: count * wanted.batches, portions }),
        );
        return (
          <>
            <Link to="/recipes/$recipeId" params={{ recipeId: wanted.recipeId }}>
              {dish.name}
            </Link>
            <CellNote>{[...groups, food.allergens(dish.allergens)].join(' · ')}</CellNote>
          </>
        );
      },
    },
    {
      key: 'batches',
      head: t('round.batchesHead'),
      phone: { end: true },
      cell: (dish) =>
        mayChange ? (
          <BatchStepper
            label={t('round.batchesFor', { dish: dishOf(dish.recipeId).name })}
            value={dish.batches}
            max={50}
            onChange={(batches) => change(dish, batches)}
          />
        ) : (
          t('round.batches', { n: dish.batches })
        ),
    },
    {
      key: 'portions',
      head: t('round.figure.portions'),
      number: true,
      phone: { word: t('round.figure.portions') },
      cell: (dish) => formats.number(dish.batches * perBatch(dish.recipeId)),
    },
    {
      key: 'costs',
      head: t('round.perPortion'),
      number: true,
      phone: { word: t('round.perPortion') },
      cell: (dish) => {
        const { perPortion } = dishOf(dish.recipeId);
        return perPortion === null ? t('round.figure.notKnown') : formats.money(wholeMinor(perPortion));
      },
    },
  ];
}
