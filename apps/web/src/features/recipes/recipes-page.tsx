import { useQuery } from '@tanstack/react-query';
import { getRouteApi, Link, useNavigate } from '@tanstack/react-router';
import { useFoodWords } from '../../lib/food-words.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { recipesQuery, type RecipeSummary } from '../../lib/recipe-queries.ts';
import { useSession } from '../../lib/session.tsx';
import { LinkButton } from '../../ui/button.tsx';
import { Card, Empty, Note } from '../../ui/card.tsx';
import { CellNote, DataTable, type Column } from '../../ui/data-table.tsx';
import { Select, TextField } from '../../ui/fields.tsx';
import { Fields } from '../../ui/form.tsx';
import { Page, Row } from '../../ui/page.tsx';
import { QueryView } from '../../ui/query-view.tsx';
import { findRecipes } from './find-recipes.ts';

const route = getRouteApi('/member/recipes');

/** The standardized recipes of the cooperative; what is looked for stands in the address. */
export function RecipesPage() {
  const t = useT();
  const { cooperativeId, can } = useSession();
  const recipes = useQuery(recipesQuery(cooperativeId));
  const mayWrite = can('coordinator', 'buyer', 'adult');
  return (
    <Page
      title={t('recipes.title')}
      aside={
        <Row>
          {mayWrite && (
            <LinkButton to="/recipes/new" kind="main">
              {t('recipes.add')}
            </LinkButton>
          )}
          <LinkButton to="/ingredients">{t('recipes.ingredients')}</LinkButton>
        </Row>
      }
    >
      <Card title={recipes.data?.length === 0 ? t('recipes.none') : undefined}>
        <QueryView query={recipes} lines={6}>
          {(items) =>
            items.length === 0 ? (
              <Empty>{t(mayWrite ? 'recipes.noneWords' : 'recipes.noneWait')}</Empty>
            ) : (
              <Found recipes={items} />
            )
          }
        </QueryView>
        <Note>
          <p>{t('food.caution')}</p>
        </Note>
      </Card>
    </Page>
  );
}

function Found({ recipes }: { recipes: readonly RecipeSummary[] }) {
  const t = useT();
  const food = useFoodWords();
  const { find = '', allergen = '' } = route.useSearch();
  const navigate = useNavigate({ from: '/recipes' });
  const found = findRecipes(recipes, find, allergen);
  const declared = [...new Set(recipes.flatMap(({ allergens }) => allergens))].sort();
  const keep = (change: { find?: string; allergen?: string }) =>
    void navigate({ search: (old) => ({ ...old, ...change }), replace: true });
  return (
    <>
      <Fields two>
        <TextField
          type="search"
          label={t('recipes.find')}
          value={find}
          onChange={(value) => keep({ find: value === '' ? undefined : value })}
        />
        <Select
          label={t('recipes.withoutDeclared')}
          value={allergen}
          onChange={(value) => keep({ allergen: value === '' ? undefined : value })}
          options={[
            { value: '', label: t('recipes.any') },
            ...declared.map((id) => ({ value: id, label: food.subject(id) })),
          ]}
        />
      </Fields>
      <p className="soft small" role="status">
        {t('recipes.found', { n: found.length, of: recipes.length })}
      </p>
      <DataTable caption={t('recipes.title')} columns={useColumns()} rows={found} rowKey={({ id }) => id} />
    </>
  );
}

function useColumns(): Column<RecipeSummary>[] {
  const t = useT();
  const food = useFoodWords();
  const formats = useFormats();
  const containers = ({ containerPlan }: RecipeSummary) =>
    containerPlan.map(({ count, portions }) => t('recipes.containersOf', { n: count, portions })).join(' · ');
  const madeWith = ({ components, usedIn }: RecipeSummary) =>
    [
      components.length > 0 && t('recipes.uses', { list: formats.list(components) }),
      usedIn.length > 0 && t('recipes.usedIn', { list: formats.list(usedIn) }),
    ].filter((words) => words !== false);
  return [
    {
      key: 'name',
      head: t('recipes.dish'),
      rowHead: true,
      cell: (recipe) => (
        <>
          <Link to="/recipes/$recipeId" params={{ recipeId: recipe.id }}>
            {recipe.name}
          </Link>
          {madeWith(recipe).map((words) => (
            <CellNote key={words}>{words}</CellNote>
          ))}
        </>
      ),
    },
    {
      key: 'portions',
      head: t('recipes.aBatch'),
      phone: { wide: true },
      cell: (recipe) =>
        recipe.portions === null ? (
          t('recipes.componentOnly')
        ) : (
          <>
            {t('common.portions', { n: recipe.portions })}
            <CellNote>{containers(recipe)}</CellNote>
          </>
        ),
    },
    {
      key: 'allergens',
      head: t('recipes.allergens'),
      phone: { wide: true },
      cell: (recipe) => food.allergens(recipe.allergens),
    },
    {
      key: 'months',
      head: t('recipes.keeps'),
      number: true,
      phone: { word: t('recipes.keeps') },
      cell: (recipe) => t('recipes.months', { n: recipe.months }),
    },
  ];
}
