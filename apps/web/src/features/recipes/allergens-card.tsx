import { useFoodWords } from '../../lib/food-words.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { Card, Note } from '../../ui/card.tsx';
import { StateMark } from '../../ui/state-mark.tsx';
import type { RecipeVersion } from './recipe-draft.ts';

/** What the ingredients declare, which of them declare nothing, and that this is not the same as free. */
export function AllergensCard({ version }: { version: RecipeVersion }) {
  const t = useT();
  const food = useFoodWords();
  const formats = useFormats();
  return (
    <Card title={t('recipes.allergens')}>
      <p>
        <strong>{food.allergens(version.allergens)}</strong>
      </p>
      {version.notDeclared.length > 0 && (
        <p>
          <StateMark state="problem">
            {t('recipes.notDeclaredFor', { list: formats.list(version.notDeclared) })}
          </StateMark>
        </p>
      )}
      {version.unfitFor.length > 0 && (
        <p className="soft">{t('recipes.unfitFor', { list: food.allergens(version.unfitFor) })}</p>
      )}
      {version.declaredLater.map(({ ingredient, allergens, unfitFor, since }) => (
        <p key={`${ingredient} ${since}`}>
          <StateMark state="problem">
            {t('recipes.declaredLater', {
              list: food.allergens(allergens.length > 0 ? allergens : unfitFor),
              ingredient,
              since: formats.dayTime(since),
            })}
          </StateMark>
        </p>
      ))}
      <Note>
        <p>{t('food.caution')}</p>
      </Note>
    </Card>
  );
}
