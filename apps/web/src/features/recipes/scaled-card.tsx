import { useQuery } from '@tanstack/react-query';
import { getRouteApi, Link, useNavigate } from '@tanstack/react-router';
import { useFoodWords } from '../../lib/food-words.ts';
import { useFormats } from '../../lib/formats.ts';
import { useT } from '../../lib/locale.tsx';
import { useCooperativeId } from '../../lib/session.tsx';
import { Card } from '../../ui/card.tsx';
import { CellNote, DataTable, type Column } from '../../ui/data-table.tsx';
import { Problem } from '../../ui/problem-box.tsx';
import { BatchStepper } from '../../ui/stepper.tsx';
import { percentOf, type Recipe, type RecipeVersion } from './recipe-draft.ts';
import { scaledQuery } from './recipe-queries.ts';

const route = getRouteApi('/member/recipes/$recipeId');
const MOST_PORTIONS = 2000;

interface AmountRow {
  line: RecipeVersion['lines'][number];
  exact: string;
  unit: string;
}

/** Amounts at any number of portions, in kitchen measures; the number stands in the address. */
export function ScaledCard({ recipe }: { recipe: Recipe }) {
  const t = useT();
  const formats = useFormats();
  const cooperativeId = useCooperativeId();
  const { portions: wanted, version } = route.useSearch();
  const navigate = useNavigate({ from: '/recipes/$recipeId' });
  const { current } = recipe;
  const own = current.portions ?? 0;
  const portions = wanted !== undefined && wanted >= 1 && wanted <= MOST_PORTIONS ? Math.round(wanted) : own;
  const isScaled = own > 0 && portions !== own;
  const scaled = useQuery({ ...scaledQuery(cooperativeId, recipe.id, portions, version), enabled: isScaled });
  const rows = current.lines.map((line, index): AmountRow => {
    const at = isScaled ? scaled.data?.lines[index] : undefined;
    return { line, exact: at?.exact ?? line.quantity, unit: at?.unit ?? line.unit };
  });
  const change = (next: number) =>
    void navigate({ search: (old) => ({ ...old, portions: next === own ? undefined : next }), replace: true });
  return (
    <Card
      title={t('recipes.amounts')}
      aside={
        own > 0 && (
          <span className="row">
            <span>{t('recipes.forPortions')}</span>
            <BatchStepper
              label={t('recipes.forPortions')}
              value={portions}
              min={1}
              max={MOST_PORTIONS}
              onChange={change}
            />
          </span>
        )
      }
    >
      {isScaled && <Problem error={scaled.error} onRetry={() => void scaled.refetch()} />}
      <div aria-busy={scaled.isFetching || undefined}>
        <DataTable
          caption={t('recipes.amounts')}
          columns={useColumns()}
          rows={rows}
          rowKey={({ line }) => `${line.ingredient?.id ?? line.component?.versionId} ${current.lines.indexOf(line)}`}
          onPhone="table"
        />
      </div>
      {isScaled && scaled.data && !scaled.isPlaceholderData && (
        <p className="soft small" role="status">
          {t('recipes.scaledBy', { factor: formats.quantity(scaled.data.factor, { least: 0, most: 3 }), own })}
        </p>
      )}
    </Card>
  );
}

function useColumns(): Column<AmountRow>[] {
  const t = useT();
  const food = useFoodWords();
  const formats = useFormats();
  return [
    {
      key: 'what',
      head: t('recipes.ingredient'),
      rowHead: true,
      cell: ({ line }) => (
        <>
          {line.component ? (
            <Link to="/recipes/$recipeId" params={{ recipeId: line.component.recipeId }}>
              {line.component.name}
            </Link>
          ) : (
            line.ingredient?.name
          )}
          {line.note && <CellNote>{line.note}</CellNote>}
          {line.edibleYield !== null && (
            <CellNote>
              {t('recipes.afterTrimming', { percent: formats.quantity(percentOf(line.edibleYield)) })}
            </CellNote>
          )}
        </>
      ),
    },
    {
      key: 'amount',
      head: t('recipes.measured'),
      number: true,
      cell: ({ exact, unit }) => <strong>{food.amount(exact, unit)}</strong>,
    },
    {
      key: 'exact',
      head: t('recipes.exactly'),
      number: true,
      phone: { off: true },
      cell: ({ exact, unit }) => <span className="soft">{food.exactAmount(exact, unit)}</span>,
    },
  ];
}
