import type { DayKitchen, KitchenLack, KitchenStep, Making, Measures } from '@frostmoot/calc';
import { canonicalJson, daySteps, stepKeyOf, versionsInside } from '@frostmoot/calc';
import type { runSheet } from '@frostmoot/contract';
import type { z } from 'zod';
import type { RoundPlan } from '../buying/round-plan.service.ts';
import { fromDate } from '../platform/db/dates.ts';
import { stepsOf } from '../recipes/recipe-answers.ts';
import { scaledLines } from '../recipes/scaling.service.ts';
import type { BatchRow } from './batches.repository.ts';
import type { CookDayRow } from './run-sheets.repository.ts';

type Answer = z.infer<typeof runSheet>;

/** One making of the day with what the screens show of it. */
export interface DayMaking extends Making {
  steps: readonly (KitchenStep & { words: string })[];
  name: string;
  versionId: string;
  batch: BatchRow | null;
}

export interface DayWork {
  makings: DayMaking[];
  /** of every making of the round, those too that are done with before the day: a step may reach the server after the count of its batch */
  stepKeys: ReadonlySet<string>;
  kitchen: DayKitchen & { isSaid: boolean };
  team: Answer['people'];
  lacks: KitchenLack[];
  input: object;
  /** what the sheet is worked out from, to tell whether it still holds */
  basis: string;
}

/** An ordinary kitchen, where a household has not said what it has. Common practice, no source. */
const ordinary = { hobs: 4, ovens: 1 };

/** Batches in the order of the dishes, then what is made of each base beyond them, bases before what they go into. */
function makingsOf(
  { dishes, graph, needs }: RoundPlan,
  batches: readonly BatchRow[],
  date: string,
): Pick<DayWork, 'makings' | 'stepKeys'> {
  const inside = versionsInside([...graph.versions.values()]);
  const counts = new Map(dishes.map(({ version, batches: count }) => [version.id, count]));
  const all = [...needs.makes].map(([versionId, made]) => {
    const own = counts.get(versionId) ?? 0;
    return { versionId, own, extra: Math.max(0, made.batches - own) };
  });
  const isEarlier = ({ frozenOn }: BatchRow): boolean => frozenOn !== null && fromDate(frozenOn) < date;
  const makings = all.flatMap(({ versionId, own, extra }) => {
    const version = graph.versions.get(versionId);
    if (!version) return [];
    const rows = batches.filter(({ recipeVersionId }) => recipeVersionId === versionId);
    return Array.from({ length: own + extra }, (_, index): DayMaking & { isExtra: boolean } => ({
      key: `${versionId}.${index + 1}`,
      versionId,
      name: version.recipe.name,
      batch: rows[index] ?? null,
      potLitres: version.potLitres,
      steps: stepsOf(version),
      bases: [],
      isExtra: index >= own,
    }));
  });
  const here = makings.filter(({ batch }) => !batch || (!isEarlier(batch) && batch.state !== 'thrown-away'));
  const givers = (versionId: string): string[] => {
    const some = here.filter((making) => making.versionId === versionId);
    const extra = some.filter(({ isExtra }) => isExtra);
    return (extra.length > 0 ? extra : some).map(({ key }) => key);
  };
  const sorted = here
    .map(({ isExtra: _, ...making }) => ({
      ...making,
      bases: [...(inside.get(making.versionId) ?? [])].flatMap(givers),
    }))
    .sort((a, b) => a.bases.length - b.bases.length || (a.key < b.key ? -1 : 1));
  const stepKeys = new Set(makings.flatMap(({ key, steps }) => steps.map((_step, index) => stepKeyOf(key, index))));
  return { makings: sorted, stepKeys };
}

/** Who cooks, by number: the households of the turns in order of name, over and over until there are as many as work. */
function teamOf({ turns, people }: CookDayRow, benchPeople: number | null): Answer['people'] {
  const wanted = people ?? Math.max(1, turns.length);
  const count = Math.min(wanted, benchPeople ?? wanted);
  return Array.from({ length: count }, (_, index) => ({
    number: index + 1,
    household: turns[index % Math.max(1, turns.length)]?.household ?? null,
    place: count > turns.length ? Math.floor(index / Math.max(1, turns.length)) + 1 : 0,
  }));
}

/** All that the run sheet of a cook day is worked out from. */
export function dayWorkOf(day: CookDayRow, plan: RoundPlan, batches: readonly BatchRow[]): DayWork {
  const { hobs, ovens, potsLitres, benchPeople } = day.kitchen;
  const team = teamOf(day, benchPeople);
  const kitchen = {
    people: team.length,
    hobs: hobs ?? ordinary.hobs,
    ovens: ovens ?? ordinary.ovens,
    pots: potsLitres,
    isSaid: hobs !== null && ovens !== null,
  };
  const { makings, stepKeys } = makingsOf(plan, batches, fromDate(day.date));
  const { day: input, lacks } = daySteps(kitchen, makings);
  return { makings, stepKeys, kitchen, team, lacks, input, basis: canonicalJson(input) };
}

/** What goes into one making, in the words of the kitchen. */
export function amountsOf(
  versionId: string,
  { graph }: RoundPlan,
  measures: Measures,
): Answer['makings'][number]['amounts'] {
  const version = graph.versions.get(versionId);
  if (!version) return [];
  return scaledLines(version, graph, measures, '1', '1').lines.map(({ name, exact, unit, say }) => ({
    name,
    exact,
    unit,
    say,
  }));
}
