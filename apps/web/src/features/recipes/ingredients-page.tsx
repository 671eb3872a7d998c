import { useQuery } from '@tanstack/react-query';
import { getRouteApi, Link, useNavigate } from '@tanstack/react-router';
import { useFoodWords } from '../../lib/food-words.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { ingredientsQuery, type Ingredient } from '../../lib/recipe-queries.ts';
import { useSession } from '../../lib/session.tsx';
import { LinkButton } from '../../ui/button.tsx';
import { Card, Empty, Note } from '../../ui/card.tsx';
import { CellNote, DataTable, type Column } from '../../ui/data-table.tsx';
import { TextField } from '../../ui/fields.tsx';
import { Page } from '../../ui/page.tsx';
import { QueryView } from '../../ui/query-view.tsx';
import { IngredientForm } from './ingredient-form.tsx';

const route = getRouteApi('/member/ingredients');
/** In the address, stands for an ingredient that is being added. */
const NEW = 'new';

/** What recipes are made of, with what each declares. */
export function IngredientsPage() {
  const t = useT();
  const { cooperativeId, can } = useSession();
  const { ingredient } = route.useSearch();
  const ingredients = useQuery(ingredientsQuery(cooperativeId));
  const mayWrite = can('coordinator', 'buyer', 'adult');
  return (
    <Page
      title={t('recipes.ingredients')}
      aside={
        mayWrite &&
        ingredient !== NEW && (
          <LinkButton
            to="/ingredients"
            search={(old) => ({ ...old, ingredient: NEW })}
            kind={ingredient ? 'normal' : 'main'}
          >
            {t('recipes.addIngredient')}
          </LinkButton>
        )
      }
    >
      <QueryView query={ingredients} lines={6}>
        {(items) => (
          <>
            {mayWrite && <Edited ingredients={items} chosen={ingredient} />}
            <Card title={items.length === 0 ? t('recipes.noIngredients') : undefined}>
              {items.length === 0 ? (
                <Empty>{t('recipes.noIngredientsWords')}</Empty>
              ) : (
                <Found ingredients={items} mayWrite={mayWrite} />
              )}
              <Note>
                <p>{t('food.caution')}</p>
              </Note>
            </Card>
          </>
        )}
      </QueryView>
    </Page>
  );
}

function Edited({ ingredients, chosen }: { ingredients: readonly Ingredient[]; chosen: string | undefined }) {
  const t = useT();
  const navigate = useNavigate({ from: '/ingredients' });
  const found = ingredients.find(({ id }) => id === chosen);
  if (chosen !== NEW && !found) return null;
  const close = () => void navigate({ search: (old) => ({ ...old, ingredient: undefined }) });
  return (
    <Card framed title={found ? t('recipes.changeIngredient', { name: found.name }) : t('recipes.addIngredient')}>
      <IngredientForm key={chosen} ingredient={found} onDone={close} />
    </Card>
  );
}

function Found({ ingredients, mayWrite }: { ingredients: readonly Ingredient[]; mayWrite: boolean }) {
  const t = useT();
  const { find = '' } = route.useSearch();
  const navigate = useNavigate({ from: '/ingredients' });
  const wanted = find.trim().toLocaleLowerCase();
  const found = ingredients.filter(({ name }) => name.toLocaleLowerCase().includes(wanted));
  return (
    <>
      <TextField
        type="search"
        label={t('recipes.findIngredient')}
        value={find}
        onChange={(value) =>
          void navigate({ search: (old) => ({ ...old, find: value === '' ? undefined : value }), replace: true })
        }
      />
      <p className="soft small" role="status">
        {t('recipes.found', { n: found.length, of: ingredients.length })}
      </p>
      <DataTable
        caption={t('recipes.ingredients')}
        columns={useColumns(mayWrite)}
        rows={found}
        rowKey={({ id }) => id}
      />
    </>
  );
}

function useColumns(mayWrite: boolean): Column<Ingredient>[] {
  const t = useT();
  const food = useFoodWords();
  const formats = useFormats();
  return [
    {
      key: 'name',
      head: t('recipes.ingredient'),
      rowHead: true,
      cell: ({ id, name, tags }) => (
        <>
          {mayWrite ? (
            <Link to="/ingredients" search={(old) => ({ ...old, ingredient: id })}>
              {name}
            </Link>
          ) : (
            name
          )}
          {tags.length > 0 && <CellNote>{formats.list(tags.map(food.tag))}</CellNote>}
        </>
      ),
    },
    {
      key: 'contains',
      head: t('recipes.declares'),
      phone: { wide: true },
      cell: ({ allergens }) => food.allergens(allergens),
    },
    {
      key: 'freeOf',
      head: t('recipes.freeOf'),
      phone: { off: true },
      cell: ({ freeOf }) => (freeOf.length === 0 ? '–' : food.allergens(freeOf)),
    },
    {
      key: 'unit',
      head: t('recipes.measuredIn'),
      phone: { word: t('recipes.measuredIn') },
      cell: ({ baseUnit, density }) => (
        <>
          {food.unitName(baseUnit)}
          {density !== null && (
            <CellNote>{t('recipes.densityIs', { density: formats.quantity(density, { least: 0, most: 4 }) })}</CellNote>
          )}
        </>
      ),
    },
  ];
}
