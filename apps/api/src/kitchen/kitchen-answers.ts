import type { CoolingRule, Measures, NeedsOfDishes } from '@frostmoot/calc';
import { bestBefore, cooling, familiarUnitName, judgedAt, logStart, rational, versionsInside } from '@frostmoot/calc';
import type { baseNeed, batch } from '@frostmoot/contract';
import type { z } from 'zod';
import { fromDate } from '../platform/db/dates.ts';
import { containersOf, stepsOf } from '../recipes/recipe-answers.ts';
import type { RecipeGraph, VersionRow } from '../recipes/recipe-graph.repository.ts';
import { notDeclaredIn } from '../recipes/recipe-graph.repository.ts';
import { scaledLines } from '../recipes/scaling.service.ts';
import { codeOf } from '../stock/container-code.ts';
import type { BatchRow, BatchState, ContainerRow, ReadingRow } from './batches.repository.ts';

export type BatchAnswer = z.infer<typeof batch>;
type BaseNeed = z.infer<typeof baseNeed>;

/** Equal containers together, the largest first. */
function grouped(containers: readonly ContainerRow[]): BatchAnswer['containers'] {
  const counts = new Map<number, number>();
  for (const { portions } of containers) counts.set(portions, (counts.get(portions) ?? 0) + 1);
  return [...counts].sort(([a], [b]) => b - a).map(([portions, count]) => ({ portions, count }));
}

/** The cooling log as it stands now; null before the first reading. */
function coolingOf(rows: readonly ReadingRow[], now: Date): BatchAnswer['cooling'] {
  const replacedBy = new Map(rows.flatMap(({ id, replacesId }) => (replacesId === null ? [] : [[replacesId, id]])));
  const counting = rows.filter(({ id }) => !replacedBy.has(id));
  const [first] = counting;
  if (!first) return null;
  const startedAt = new Date(logStart(counting.map((row) => row.startedAt.getTime()))).toISOString();
  const measured = counting.map((row) => row.measuredAt.getTime());
  const readings = rows.map((row) => ({
    id: row.id,
    measuredAt: row.measuredAt.toISOString(),
    celsius: rational.format(rational.parse(row.celsius.toFixed(2))),
    household: row.household,
    replaces: row.replacesId,
    replacedBy: replacedBy.get(row.id) ?? null,
    reason: row.reason,
  }));
  const { verdict, stages, next } = cooling({
    rule: first.rule,
    startedAt,
    readings: readings
      .filter((each) => each.replacedBy === null)
      .map(({ measuredAt, celsius }) => ({ at: measuredAt, celsius })),
    now: new Date(judgedAt(now.getTime(), measured)).toISOString(),
  });
  return {
    rule: first.rule as CoolingRule,
    startedAt,
    readings,
    verdict,
    stages: stages.map((stage) => ({ ...stage, reachedBetween: stage.reachedBetween ?? null })),
    next,
  };
}

export function batchAnswer(
  row: BatchRow,
  version: VersionRow,
  graph: RecipeGraph,
  { measures, now }: { measures: Measures; now: Date },
): BatchAnswer {
  const frozenOn = row.frozenOn === null ? null : fromDate(row.frozenOn);
  const amounts = scaledLines(version, graph, measures, '1', '1').lines;
  return {
    id: row.id,
    lotCode: row.lotCode,
    recipeId: version.recipe.id,
    name: version.recipe.name,
    state: row.state as BatchState,
    plannedPortions: row.plannedPortions,
    actualPortions: row.actualPortions,
    containerPlan: containersOf(version),
    containers: grouped(row.containers),
    earlyClaims: row.containers.flatMap(({ number, portions, earlyClaim }) =>
      earlyClaim ? [{ household: earlyClaim.household, code: codeOf(row.lotCode, number), portions }] : [],
    ),
    frozenOn,
    bestBefore: row.state === 'made' && frozenOn ? bestBefore({ frozenOn, months: version.months }).bestBefore : null,
    months: version.months,
    allergens: version.allergens,
    notDeclared: notDeclaredIn(version.id, graph),
    steps: stepsOf(version),
    amounts: amounts.map(({ name, exact, unit, say }) => ({ name, exact, unit, say })),
    note: row.note,
    cooling: coolingOf(row.probeReadings, now),
    version: row.version,
  };
}

/** The recipes that dishes of the round use inside, with all that is made of each (eaten by itself included) and which dishes need it. */
export function basesOf(
  dishVersions: readonly string[],
  { versions }: RecipeGraph,
  { makes }: NeedsOfDishes,
  measures: Measures,
): BaseNeed[] {
  const inside = versionsInside([...versions.values()]);
  const nameOf = (id: string): string => versions.get(id)?.recipe.name ?? '';
  const bases = new Set(dishVersions.flatMap((id) => [...(inside.get(id) ?? [])]));
  return [...bases]
    .flatMap((id) => {
      const version = versions.get(id);
      const made = makes.get(id);
      if (!version || !made) return [];
      const users = dishVersions.filter((dish) => dish === id || inside.get(dish)?.has(id));
      return {
        recipeId: version.recipe.id,
        name: version.recipe.name,
        exact: rational.format(made.exact),
        unit: familiarUnitName(version.makes.unit, measures),
        batches: made.batches,
        usedIn: [...new Set(users.map(nameOf))].sort((a, b) => a.localeCompare(b)),
      };
    })
    .sort((a, b) => a.name.localeCompare(b.name));
}
