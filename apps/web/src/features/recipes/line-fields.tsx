import { unitChoices, useFoodWords } from '../../lib/food-words.ts';
import { useT } from '../../lib/locale.tsx';
import type { Ingredient, RecipeSummary } from '../../lib/recipe-queries.ts';
import { Select, TextField } from '../../ui/fields.tsx';
import { DecimalField } from '../../ui/number-fields.tsx';
import { MoveButtons } from './move-buttons.tsx';
import type { LineDraft, RecipeVersion } from './recipe-draft.ts';

interface LineFieldsProps {
  line: LineDraft;
  index: number;
  count: number;
  recipes: readonly RecipeSummary[];
  ingredients: readonly Ingredient[];
  /** Lines of the version that is being changed: they may name an earlier version of a component. */
  known: RecipeVersion['lines'];
  onChange: (change: Partial<LineDraft>) => void;
  onMove: (by: -1 | 1) => void;
  onRemove: () => void;
}

/** One line of a recipe: an ingredient or another recipe, how much of it, and what is left of it after trimming. */
export function LineFields({
  line,
  index,
  count,
  recipes,
  ingredients,
  known,
  onChange,
  onMove,
  onRemove,
}: LineFieldsProps) {
  const t = useT();
  const food = useFoodWords();
  const components = recipes.map(({ versionId, name }) => ({
    value: `component:${versionId}`,
    label: t('recipes.componentOption', { name }),
  }));
  const earlier = known.flatMap(({ component }) =>
    component && !recipes.some(({ versionId }) => versionId === component.versionId)
      ? [{ value: `component:${component.versionId}`, label: t('recipes.earlierComponent', { name: component.name }) }]
      : [],
  );
  const options = [
    { value: '', label: t('recipes.choose') },
    ...ingredients.map(({ id, name }) => ({ value: `ingredient:${id}`, label: name })),
    ...components,
    ...earlier,
  ];
  const units = unitChoices(food.measures);
  const unitOptions = (units.includes(line.unit) ? units : [...units, line.unit]).map((id) => ({
    value: id,
    label: food.unitName(id),
  }));
  const choose = (part: string) => {
    const ingredient = ingredients.find(({ id }) => part === `ingredient:${id}`);
    // A fresh line takes the unit in which its ingredient is usually measured.
    onChange({ part, unit: line.quantity === null && ingredient ? ingredient.baseUnit : line.unit });
  };
  const field = line.part.startsWith('component:') ? 'componentVersionId' : 'ingredientId';
  return (
    <fieldset className="part-row">
      <legend>{t('recipes.lineNumber', { number: index + 1 })}</legend>
      <div className="part-row-wide">
        <Select
          name={`lines/${index}/${field}`}
          label={t('recipes.ingredientOrRecipe')}
          required
          value={line.part}
          onChange={choose}
          options={options}
        />
      </div>
      <DecimalField
        name={`lines/${index}/quantity`}
        label={t('recipes.quantity')}
        required
        value={line.quantity}
        onChange={(quantity) => onChange({ quantity })}
      />
      <Select
        name={`lines/${index}/unit`}
        label={t('recipes.unit')}
        value={line.unit}
        onChange={(unit) => onChange({ unit })}
        options={unitOptions}
      />
      <DecimalField
        name={`lines/${index}/edibleYield`}
        label={t('recipes.trimmed')}
        unit="%"
        decimals={2}
        value={line.ediblePercent}
        onChange={(ediblePercent) => onChange({ ediblePercent })}
      />
      <TextField
        name={`lines/${index}/note`}
        label={t('recipes.note')}
        maxLength={200}
        value={line.note}
        onChange={(note) => onChange({ note })}
      />
      <MoveButtons
        what={t('recipes.lineNumber', { number: index + 1 })}
        index={index}
        count={count}
        onMove={onMove}
        onRemove={onRemove}
      />
    </fieldset>
  );
}
