import { useQuery } from '@tanstack/react-query';
import { getRouteApi, Link } from '@tanstack/react-router';
import { useFoodWords } from '../../lib/food-words.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { recipesQuery } from '../../lib/recipe-queries.ts';
import { useSession } from '../../lib/session.tsx';
import { LinkButton } from '../../ui/button.tsx';
import { Card, Note } from '../../ui/card.tsx';
import { StepTab } from '../../ui/date-tab.tsx';
import { Figures, type Figure } from '../../ui/figures.tsx';
import { List, ListRow } from '../../ui/list.tsx';
import { Columns, Page, Row, Stack } from '../../ui/page.tsx';
import { PrintButton } from '../../ui/print-button.tsx';
import { QueryView } from '../../ui/query-view.tsx';
import { AllergensCard } from './allergens-card.tsx';
import type { Recipe, RecipeVersion } from './recipe-draft.ts';
import { recipeQuery } from './recipe-queries.ts';
import { ScaledCard } from './scaled-card.tsx';

const route = getRouteApi('/member/recipes/$recipeId');

/** One recipe: what a batch gives, its amounts at any number of portions, allergens, steps, versions. */
export function RecipePage() {
  const t = useT();
  const { cooperativeId, can } = useSession();
  const { recipeId } = route.useParams();
  const { version } = route.useSearch();
  const recipe = useQuery(recipeQuery(cooperativeId, recipeId, version));
  const mayWrite = can('coordinator', 'buyer', 'adult');
  return (
    <Page
      title={recipe.data?.name ?? t('recipes.one')}
      aside={
        <Row>
          {mayWrite && (
            <LinkButton to="/recipes/$recipeId/edit" params={{ recipeId }}>
              {t('recipes.edit')}
            </LinkButton>
          )}
          <PrintButton />
        </Row>
      }
    >
      <QueryView query={recipe} lines={8}>
        {(data) => <OneRecipe recipe={data} />}
      </QueryView>
    </Page>
  );
}

function OneRecipe({ recipe }: { recipe: Recipe }) {
  const { current } = recipe;
  return (
    <>
      <OldVersion recipe={recipe} />
      <BatchFigures version={current} />
      <Columns form="wideFirst">
        <Stack gap="wide">
          <ScaledCard recipe={recipe} />
          <Steps version={current} />
        </Stack>
        <Stack gap="wide">
          <AllergensCard version={current} />
          <Connections recipe={recipe} />
          <Versions recipe={recipe} />
        </Stack>
      </Columns>
    </>
  );
}

const newest = (recipe: Recipe): number => Math.max(...recipe.versions.map(({ number }) => number));

function OldVersion({ recipe }: { recipe: Recipe }) {
  const t = useT();
  if (recipe.current.number === newest(recipe)) return null;
  return (
    <Card framed title={t('recipes.oldVersion', { number: recipe.current.number })}>
      <p className="soft">{t('recipes.oldVersionWords')}</p>
      <Row>
        <LinkButton to="/recipes/$recipeId" params={{ recipeId: recipe.id }} search={{}}>
          {t('recipes.showNewest')}
        </LinkButton>
      </Row>
    </Card>
  );
}

function BatchFigures({ version }: { version: RecipeVersion }) {
  const t = useT();
  const formats = useFormats();
  const food = useFoodWords();
  const containers = version.containerPlan.map(({ count, portions }) =>
    t('recipes.containersOf', { n: count, portions }),
  );
  const figures: Figure[] = [
    {
      name: t('recipes.batchGives'),
      value: version.portions === null ? t('recipes.componentOnly') : t('common.portions', { n: version.portions }),
      note: containers.join(' · ') || undefined,
    },
    { name: t('recipes.makes'), value: food.amount(version.makes.quantity, version.makes.unit) },
    { name: t('recipes.keeps'), value: t('recipes.months', { n: version.months }), note: version.monthsSource },
  ];
  if (version.potLitres !== null) {
    figures.push({
      name: t('recipes.pot'),
      value: formats.unit(version.potLitres, 'liter', { least: 0, most: 1 }, 'long'),
    });
  }
  return <Figures items={figures} />;
}

function Steps({ version }: { version: RecipeVersion }) {
  const t = useT();
  const formats = useFormats();
  const minutes = (count: number) => formats.unit(String(count), 'minute', { least: 0, most: 0 });
  return (
    <Card title={t('recipes.steps')}>
      {version.steps.length === 0 && <p className="soft">{t('recipes.noSteps')}</p>}
      <List ordered>
        {version.steps.map((step, index) => (
          <ListRow
            key={index}
            lead={<StepTab>{formats.number(index + 1)}</StepTab>}
            title={<bdi>{step.words}</bdi>}
            detail={[
              step.activeMinutes > 0 && t('recipes.handsOn', { time: minutes(step.activeMinutes) }),
              step.passiveMinutes > 0 && t('recipes.onItsOwn', { time: minutes(step.passiveMinutes) }),
            ]
              .filter(Boolean)
              .join(' · ')}
          />
        ))}
      </List>
      {version.notes && (
        <p className="measure" dir="auto">
          {version.notes}
        </p>
      )}
      <Note>
        <p>{t('recipes.safetyNote')}</p>
      </Note>
    </Card>
  );
}

/** Recipes that this one uses, and those that use it. */
function Connections({ recipe }: { recipe: Recipe }) {
  const t = useT();
  const { cooperativeId } = useSession();
  const all = useQuery(recipesQuery(cooperativeId)).data ?? [];
  const components = recipe.current.lines.flatMap(({ component }) => (component ? [component] : []));
  const users = all.filter((other) => other.components.includes(recipe.name));
  if (components.length === 0 && users.length === 0) return null;
  return (
    <Card title={t('recipes.connections')}>
      <List small>
        {components.map((component) => (
          <ListRow
            key={component.versionId}
            title={
              <Link to="/recipes/$recipeId" params={{ recipeId: component.recipeId }}>
                {component.name}
              </Link>
            }
            detail={t('recipes.isPart')}
          />
        ))}
        {users.map((user) => (
          <ListRow
            key={user.id}
            title={
              <Link to="/recipes/$recipeId" params={{ recipeId: user.id }}>
                {user.name}
              </Link>
            }
            detail={t('recipes.usesThis')}
          />
        ))}
      </List>
    </Card>
  );
}

function Versions({ recipe }: { recipe: Recipe }) {
  const t = useT();
  const formats = useFormats();
  const last = newest(recipe);
  const byNumber = [...recipe.versions].sort((a, b) => b.number - a.number);
  return (
    <Card title={t('recipes.versions')}>
      <List small>
        {byNumber.map(({ id, number, createdAt }) => (
          <ListRow
            key={id}
            mine={number === recipe.current.number}
            title={
              <Link
                to="/recipes/$recipeId"
                params={{ recipeId: recipe.id }}
                search={number === last ? {} : { version: number }}
                aria-current={number === recipe.current.number ? 'true' : undefined}
              >
                {t('recipes.versionNumber', { number })}
              </Link>
            }
            detail={formats.day(formats.dateOf(createdAt), 'dated')}
          />
        ))}
      </List>
      <p className="soft small">{t('recipes.versionsWords')}</p>
    </Card>
  );
}
