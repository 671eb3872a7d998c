import { useQuery } from '@tanstack/react-query';
import { getRouteApi } from '@tanstack/react-router';
import { useT } from '../../lib/locale.tsx';
import { ingredientsQuery, recipesQuery } from '../../lib/recipe-queries.ts';
import { useSession } from '../../lib/session.tsx';
import { Card } from '../../ui/card.tsx';
import { Page } from '../../ui/page.tsx';
import { QueryView } from '../../ui/query-view.tsx';
import type { Recipe } from './recipe-draft.ts';
import { RecipeForm } from './recipe-form.tsx';
import { recipeQuery } from './recipe-queries.ts';

const route = getRouteApi('/member/recipes/$recipeId/edit');

/** A recipe that is new. */
export function NewRecipePage() {
  const t = useT();
  return (
    <Page title={t('recipes.add')}>
      <Parts />
    </Page>
  );
}

/** A new version of a recipe; earlier ones stay as they are, and so does what was cooked by them. */
export function EditRecipePage() {
  const t = useT();
  const { cooperativeId } = useSession();
  const { recipeId } = route.useParams();
  const recipe = useQuery(recipeQuery(cooperativeId, recipeId));
  const title = recipe.data ? t('recipes.editTitle', { name: recipe.data.name }) : t('recipes.edit');
  return (
    <Page title={title}>
      <QueryView query={recipe} lines={8}>
        {(data) => <Parts recipe={data} />}
      </QueryView>
    </Page>
  );
}

function Parts({ recipe }: { recipe?: Recipe }) {
  const t = useT();
  const { cooperativeId, can } = useSession();
  const recipes = useQuery(recipesQuery(cooperativeId));
  const ingredients = useQuery(ingredientsQuery(cooperativeId));
  if (!can('coordinator', 'buyer', 'adult')) {
    return (
      <Card>
        <p>{t('recipes.readersRead')}</p>
      </Card>
    );
  }
  return (
    <QueryView query={recipes} lines={8}>
      {(all) => (
        <QueryView query={ingredients} lines={8}>
          {(items) => <RecipeForm recipe={recipe} recipes={all} ingredients={items} />}
        </QueryView>
      )}
    </QueryView>
  );
}
