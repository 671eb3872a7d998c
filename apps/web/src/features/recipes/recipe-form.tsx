import { useNavigate } from '@tanstack/react-router';
import { useState } from 'react';
import { api, ifMatch, ok } from '../../lib/api/client.ts';
import { useWrite } from '../../lib/api/use-write.ts';
import { unitChoices, useFoodWords } from '../../lib/food-words.ts';
import { useKeptState } from '../../lib/kept-state.ts';
import { useT } from '../../lib/locale.tsx';
import type { Ingredient, RecipeSummary } from '../../lib/recipe-queries.ts';
import { useCooperativeId } from '../../lib/session.tsx';
import { Button, LinkButton } from '../../ui/button.tsx';
import { Card, Note } from '../../ui/card.tsx';
import { Select, TextArea, TextField, Tick } from '../../ui/fields.tsx';
import { Fields, Form } from '../../ui/form.tsx';
import { DecimalField } from '../../ui/number-fields.tsx';
import { Row } from '../../ui/page.tsx';
import { say } from '../../ui/toast.tsx';
import { ContainerFields } from './container-fields.tsx';
import { LineFields } from './line-fields.tsx';
import {
  containersHold,
  draftOf,
  emptyLine,
  emptyRecipe,
  emptyStep,
  moved,
  versionOf,
  type Recipe,
  type RecipeDraft,
} from './recipe-draft.ts';
import './recipes.css';
import { StepFields } from './step-fields.tsx';

interface RecipeFormProps {
  recipe?: Recipe;
  recipes: readonly RecipeSummary[];
  ingredients: readonly Ingredient[];
}

function useSave(recipe: Recipe | undefined, forget: () => void) {
  const t = useT();
  const cooperativeId = useCooperativeId();
  const navigate = useNavigate();
  return useWrite<RecipeDraft, Recipe>({
    write: (draft, headers) =>
      ok<Recipe>(
        recipe
          ? api.POST('/api/cooperatives/{cooperativeId}/recipes/{recipeId}/versions', {
              params: { path: { cooperativeId, recipeId: recipe.id } },
              body: versionOf(draft),
              headers: { ...headers, ...ifMatch(recipe.version) },
            })
          : api.POST('/api/cooperatives/{cooperativeId}/recipes', {
              params: { path: { cooperativeId } },
              body: { ...versionOf(draft), name: draft.name },
              headers,
            }),
      ),
    topics: ['recipes', 'rounds'],
    onSuccess: async (saved) => {
      forget();
      say(t('recipes.kept', { name: saved.name, number: saved.current.number }));
      await navigate({ to: '/recipes/$recipeId', params: { recipeId: saved.id } });
    },
  });
}

/** A recipe as it is typed, kept on the device until it is saved. */
export function RecipeForm({ recipe, recipes, ingredients }: RecipeFormProps) {
  const t = useT();
  const begin = () => (recipe ? draftOf(recipe) : emptyRecipe());
  const [draft, setDraft, forget] = useKeptState(`recipe.${recipe?.id ?? 'new'}`, begin, String(recipe?.version ?? 0));
  const set = (change: Partial<RecipeDraft>) => setDraft((old) => ({ ...old, ...change }));
  const save = useSave(recipe, forget);
  const [isTried, setTried] = useState(false);
  const containersFit = draft.isComponentOnly || String(containersHold(draft)) === draft.portions;
  return (
    <Form
      onSubmit={() => save.mutate(draft)}
      isReady={() => {
        setTried(true);
        return containersFit;
      }}
      error={save.error}
      acts={
        <>
          <Button type="submit" kind="main" isPending={save.isPending}>
            {recipe ? t('recipes.saveVersion', { number: recipe.current.number + 1 }) : t('recipes.saveNew')}
          </Button>
          {recipe ? (
            <LinkButton to="/recipes/$recipeId" params={{ recipeId: recipe.id }} kind="plain">
              {t('common.cancel')}
            </LinkButton>
          ) : (
            <LinkButton to="/recipes" kind="plain">
              {t('common.cancel')}
            </LinkButton>
          )}
        </>
      }
    >
      <Card title={t('recipes.whatItGives')}>
        {!recipe && (
          <TextField
            name="name"
            label={t('recipes.name')}
            required
            maxLength={120}
            value={draft.name}
            onChange={(name) => set({ name })}
          />
        )}
        <Makes draft={draft} set={set} />
        {!draft.isComponentOnly && <ContainerFields draft={draft} set={set} isTried={isTried} />}
      </Card>
      <Card title={t('recipes.amounts')}>
        <p className="soft measure">{t('recipes.amountsWords')}</p>
        {draft.lines.map((line, index) => (
          <LineFields
            key={index}
            line={line}
            index={index}
            count={draft.lines.length}
            recipes={recipes.filter(({ id }) => id !== recipe?.id)}
            ingredients={ingredients}
            known={recipe?.current.lines ?? []}
            onChange={(change) =>
              set({ lines: draft.lines.map((old, each) => (each === index ? { ...old, ...change } : old)) })
            }
            onMove={(by) => set({ lines: moved(draft.lines, index, by) })}
            onRemove={() => set({ lines: draft.lines.filter((_, each) => each !== index) })}
          />
        ))}
        <Row>
          <Button onPress={() => set({ lines: [...draft.lines, emptyLine()] })}>{t('recipes.addLine')}</Button>
          <LinkButton to="/ingredients" search={{ ingredient: 'new' }} kind="plain">
            {t('recipes.addIngredient')}
          </LinkButton>
        </Row>
      </Card>
      <Card title={t('recipes.steps')}>
        {draft.steps.map((step, index) => (
          <StepFields
            key={index}
            step={step}
            earlier={draft.steps.slice(0, index)}
            hasComponents={draft.lines.some(({ part }) => part.startsWith('component:'))}
            index={index}
            count={draft.steps.length}
            onChange={(change) =>
              set({ steps: draft.steps.map((old, each) => (each === index ? { ...old, ...change } : old)) })
            }
            onMove={(by) => set({ steps: moved(draft.steps, index, by) })}
            onRemove={() => set({ steps: draft.steps.filter((_, each) => each !== index) })}
          />
        ))}
        <Row>
          <Button onPress={() => set({ steps: [...draft.steps, emptyStep()] })}>{t('recipes.addStep')}</Button>
        </Row>
        <TextArea
          name="notes"
          label={t('recipes.notes')}
          maxLength={4000}
          value={draft.notes}
          onChange={(notes) => set({ notes })}
        />
        <Note>
          <p>{t('recipes.safetyNote')}</p>
        </Note>
      </Card>
    </Form>
  );
}

function Makes({ draft, set }: { draft: RecipeDraft; set: (change: Partial<RecipeDraft>) => void }) {
  const t = useT();
  const food = useFoodWords();
  return (
    <>
      <Fields two>
        <DecimalField
          name="makes/quantity"
          label={t('recipes.makes')}
          hint={t('recipes.makesHint')}
          required
          value={draft.makesQuantity}
          onChange={(makesQuantity) => set({ makesQuantity })}
        />
        <Select
          name="makes/unit"
          label={t('recipes.unit')}
          value={draft.makesUnit}
          onChange={(makesUnit) => set({ makesUnit })}
          options={unitChoices(food.measures).map((id) => ({ value: id, label: food.unitName(id) }))}
        />
      </Fields>
      <Tick isSelected={draft.isComponentOnly} onChange={(isComponentOnly) => set({ isComponentOnly })}>
        {t('recipes.onlyComponent')}
      </Tick>
      <Fields two>
        {!draft.isComponentOnly && (
          <DecimalField
            name="portions"
            label={t('recipes.portions')}
            decimals={0}
            required
            value={draft.portions}
            onChange={(portions) => set({ portions })}
          />
        )}
        <DecimalField
          name="potLitres"
          label={t('recipes.potLitres')}
          hint={t('recipes.potHint')}
          unit={food.unitName('L')}
          value={draft.potLitres}
          onChange={(potLitres) => set({ potLitres })}
        />
        <DecimalField
          name="months"
          label={t('recipes.monthsFrozen')}
          decimals={0}
          required
          value={draft.months}
          onChange={(months) => set({ months })}
        />
        <TextField
          name="monthsSource"
          label={t('recipes.monthsSource')}
          hint={t('recipes.monthsSourceHint')}
          required
          maxLength={200}
          value={draft.monthsSource}
          onChange={(monthsSource) => set({ monthsSource })}
        />
      </Fields>
    </>
  );
}
