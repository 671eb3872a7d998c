import { allergenRows, ingredientTags } from '@frostmoot/calc';
import { useState } from 'react';
import { api, ifMatch, ok } from '../../lib/api/client.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import type { Schemas } from '../../lib/api/schemas.ts';
import { useFoodWords } from '../../lib/food-words.ts';
import { useT } from '../../lib/locale.tsx';
import type { Ingredient } from '../../lib/recipe-queries.ts';
import { useCooperativeId } from '../../lib/session.tsx';
import { Button } from '../../ui/button.tsx';
import { Note } from '../../ui/card.tsx';
import { Select, TextField } from '../../ui/fields.tsx';
import { Fields, Form } from '../../ui/form.tsx';
import { DecimalField } from '../../ui/number-fields.tsx';
import { say } from '../../ui/toast.tsx';
import './recipes.css';
import { SubjectChoices } from './subject-choices.tsx';

const ALLERGENS = allergenRows.map(({ id }) => id);
const TAGS = [...ingredientTags.keys()];
const BASE_UNITS = ['g', 'mL', 'each'] as const;

function useSave(ingredient: Ingredient | undefined, onDone: () => void) {
  const t = useT();
  const cooperativeId = useCooperativeId();
  return useWrite<Schemas['SaveIngredient'], Ingredient>({
    write: (body, headers) =>
      ok<Ingredient>(
        ingredient
          ? api.PATCH('/api/cooperatives/{cooperativeId}/ingredients/{ingredientId}', {
              params: { path: { cooperativeId, ingredientId: ingredient.id } },
              body,
              headers: { ...headers, ...ifMatch(ingredient.version) },
            })
          : api.POST('/api/cooperatives/{cooperativeId}/ingredients', {
              params: { path: { cooperativeId } },
              body,
              headers,
            }),
      ),
    topics: ['recipes', 'rounds'],
    onSuccess: (saved) => {
      say(t('recipes.ingredientKept', { name: saved.name }));
      onDone();
    },
  });
}

/** An ingredient as its label says it: what it contains, what it is declared free from; everything else is not declared. */
export function IngredientForm({ ingredient, onDone }: { ingredient: Ingredient | undefined; onDone: () => void }) {
  const t = useT();
  const food = useFoodWords();
  const [name, setName] = useState(ingredient?.name ?? '');
  const [baseUnit, setBaseUnit] = useState<string>(ingredient?.baseUnit ?? 'g');
  const [density, setDensity] = useState<string | null>(ingredient?.density ?? null);
  const [densitySource, setDensitySource] = useState(ingredient?.densitySource ?? '');
  const [allergens, setAllergens] = useState<readonly string[]>(ingredient?.allergens ?? []);
  const [freeOf, setFreeOf] = useState<readonly string[]>(ingredient?.freeOf ?? []);
  const [tags, setTags] = useState<readonly string[]>(ingredient?.tags ?? []);
  const save = useSave(ingredient, onDone);
  const submit = () =>
    save.mutate({
      name,
      baseUnit: BASE_UNITS.find((unit) => unit === baseUnit) ?? 'g',
      density,
      densitySource: density === null || densitySource.trim() === '' ? null : densitySource,
      allergens: [...allergens],
      freeOf: [...freeOf],
      tags: [...tags],
    });
  return (
    <Form
      onSubmit={submit}
      error={save.error}
      acts={
        <>
          <Button type="submit" kind="main" isPending={save.isPending}>
            {t('recipes.keepIngredient')}
          </Button>
          <Button kind="plain" onPress={onDone}>
            {t('common.cancel')}
          </Button>
        </>
      }
    >
      <Fields two>
        <TextField name="name" label={t('recipes.name')} required maxLength={120} value={name} onChange={setName} />
        <Select
          name="baseUnit"
          label={t('recipes.measuredIn')}
          value={baseUnit}
          onChange={setBaseUnit}
          options={BASE_UNITS.map((unit) => ({ value: unit, label: food.unitName(unit) }))}
        />
      </Fields>
      <SubjectChoices
        legend={t('recipes.declares')}
        hint={t('recipes.declaresHint')}
        ids={ALLERGENS}
        chosen={allergens}
        onChange={(chosen) => {
          setAllergens(chosen);
          // Nothing can both contain an allergen and be free from it.
          setFreeOf(freeOf.filter((id) => !chosen.includes(id)));
        }}
        mayAdd
      />
      <details>
        <summary className="summary">{t('recipes.freeOfCount', { n: freeOf.length })}</summary>
        <SubjectChoices
          legend={t('recipes.freeOf')}
          hint={t('recipes.freeOfHint')}
          ids={ALLERGENS.filter((id) => !allergens.includes(id))}
          chosen={freeOf}
          onChange={setFreeOf}
        />
      </details>
      <SubjectChoices
        legend={t('recipes.tags')}
        hint={t('recipes.tagsHint')}
        ids={TAGS}
        chosen={tags}
        onChange={setTags}
        words={food.tag}
      />
      <Fields two>
        <DecimalField
          name="density"
          label={t('recipes.density')}
          hint={t('recipes.densityHint')}
          unit={`${food.unitName('g')}/${food.unitName('mL')}`}
          decimals={4}
          value={density}
          onChange={setDensity}
        />
        <TextField
          name="densitySource"
          label={t('recipes.densitySource')}
          hint={t('recipes.densitySourceHint')}
          required={density !== null}
          maxLength={200}
          value={densitySource}
          onChange={setDensitySource}
        />
      </Fields>
      <Note>
        <p>{t('food.caution')}</p>
      </Note>
    </Form>
  );
}
