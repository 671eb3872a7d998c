import { useFoodWords } from '../../lib/food-words.ts';
import { useT } from '../../lib/locale.tsx';
import type { RecipeSummary } from '../../lib/recipe-queries.ts';
import { Button, LinkButton } from '../../ui/button.tsx';
import { Empty } from '../../ui/card.tsx';
import { Dialog } from '../../ui/dialog.tsx';
import { List, ListRow } from '../../ui/list.tsx';
import { Row } from '../../ui/page.tsx';

/** Recipes that are not in the plan yet, each with its "Add". */
export function AddDishDialog(props: {
  isOpen: boolean;
  onClose: () => void;
  recipes: readonly RecipeSummary[];
  onAdd: (recipeId: string) => void;
}) {
  const t = useT();
  const food = useFoodWords();
  const create = (
    <LinkButton to="/recipes/new" kind="plain">
      {t('round.newRecipe')}
    </LinkButton>
  );
  return (
    <Dialog title={t('round.addDish')} isOpen={props.isOpen} onClose={props.onClose}>
      {props.recipes.length === 0 ? (
        <Empty action={create}>{t('round.noMoreRecipes')}</Empty>
      ) : (
        <List>
          {props.recipes.map((recipe) => (
            <ListRow
              key={recipe.id}
              title={recipe.name}
              detail={`${t('common.portions', { n: recipe.portions ?? 0 })} · ${food.allergens(recipe.allergens)}`}
              acts={
                <Button
                  aria-label={t('round.addDishNamed', { dish: recipe.name })}
                  onPress={() => {
                    props.onAdd(recipe.id);
                    props.onClose();
                  }}
                >
                  {t('common.add')}
                </Button>
              }
            />
          ))}
        </List>
      )}
      <Row>
        {props.recipes.length > 0 && create}
        <Button kind="plain" onPress={props.onClose}>
          {t('common.close')}
        </Button>
      </Row>
    </Dialog>
  );
}
