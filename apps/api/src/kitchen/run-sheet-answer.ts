import type { Measures } from '@frostmoot/calc';
import { canonicalJson, rational, stepKeyOf } from '@frostmoot/calc';
import type { runSheet } from '@frostmoot/contract';
import type { z } from 'zod';
import type { RoundPlan } from '../buying/round-plan.service.ts';
import { fromDate } from '../platform/db/dates.ts';
import type { DayWork } from './day-work.ts';
import { amountsOf } from './day-work.ts';
import type { CookDayRow, KeptSheet, StepDoneRow } from './run-sheets.repository.ts';

export type RunSheetAnswer = z.infer<typeof runSheet>;
type Sheet = NonNullable<RunSheetAnswer['sheet']>;

interface Facts {
  day: CookDayRow;
  work: DayWork;
  plan: RoundPlan;
  kept: KeptSheet | null;
  done: readonly StepDoneRow[];
  measures: Measures;
  startsAt: Date;
  now: Date;
}

/** Steps of a kept sheet that are still steps of the day, in its order. */
function sheetOf(kept: KeptSheet, { makings, basis, kitchen }: DayWork): Sheet {
  const { result } = kept;
  const byKey = new Map(
    makings.flatMap((making) =>
      making.steps.map((step, index) => [stepKeyOf(making.key, index), { making, step, index }]),
    ),
  );
  const input = kept.input as { steps: { id: string; after: string[]; potLitres?: string }[] };
  const inputs = new Map(input.steps.map((step) => [step.id, step]));
  return {
    id: kept.id,
    createdAt: kept.createdAt.toISOString(),
    isCurrent: canonicalJson(kept.input) === basis,
    proof: result.proof,
    minutes: result.minutes,
    atLeast: result.atLeast ?? result.minutes,
    steps: result.steps.flatMap(({ id, start, handsOff, end, people, hobs, ovens, pot }) => {
      const found = byKey.get(id);
      if (!found) return [];
      const { words, place } = found.step;
      return {
        key: id,
        making: found.making.key,
        number: found.index + 1,
        words,
        place,
        active: handsOff - start,
        passive: end - handsOff,
        ...{ start, handsOff, end, people, hobs, ovens },
        potLitres: pot === undefined ? null : (kitchen.pots[Number(pot) - 1] ?? null),
        pot: pot ?? null,
        after: inputs.get(id)?.after ?? [],
      };
    }),
    leads: result.leads.flatMap(({ id, start, end }) => {
      const found = byKey.get(id);
      const kilograms = found?.step.thawKilograms;
      return found && kilograms ? { key: id, making: found.making.key, kilograms, start, end } : [];
    }),
  };
}

/** What came out of a batch is entered: its steps count as done, at the latest when they were planned to be. */
function doneByYield(
  work: DayWork,
  sheet: Sheet | null,
  { startsAt, now, day }: Facts,
  marked: ReadonlySet<string>,
): RunSheetAnswer['done'] {
  const made = new Set(work.makings.flatMap(({ key, batch }) => (batch?.state === 'made' ? [key] : [])));
  const { id, name } = day.kitchen;
  return (sheet?.steps ?? []).flatMap(({ key, making, handsOff }) =>
    made.has(making) && !marked.has(key)
      ? {
          key,
          at: new Date(Math.min(now.getTime(), startsAt.getTime() + handsOff * 60_000)).toISOString(),
          household: { id, name },
        }
      : [],
  );
}

export function runSheetAnswer(facts: Facts): RunSheetAnswer {
  const { day, work, plan, kept, done, measures, startsAt } = facts;
  const { kitchen, makings } = work;
  const sheet = kept && sheetOf(kept, work);
  const marked = new Set(done.map(({ stepKey }) => stepKey));
  return {
    cookDayId: day.id,
    roundId: day.roundId,
    date: fromDate(day.date),
    startsAt: startsAt.toISOString(),
    kitchen: {
      household: { id: day.kitchen.id, name: day.kitchen.name },
      hobs: kitchen.hobs,
      ovens: kitchen.ovens,
      potsLitres: [...kitchen.pots],
      isSaid: kitchen.isSaid,
    },
    people: work.team,
    peopleChosen: day.people,
    makings: makings.map(({ key, name, batch, versionId, steps }) => ({
      key,
      batchId: batch?.id ?? null,
      lotCode: batch?.lotCode ?? null,
      name,
      steps: steps.length,
      amounts: amountsOf(versionId, plan, measures),
    })),
    lacks: work.lacks.map((lack) => ({ ...lack, needed: rational.format(rational.parse(lack.needed)) })),
    sheet,
    done: [
      ...done.map(({ stepKey, doneAt, household }) => ({ key: stepKey, at: doneAt.toISOString(), household })),
      ...doneByYield(work, sheet, facts, marked),
    ],
  };
}
